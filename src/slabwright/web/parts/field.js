// A labelled text field or choice. The browser owns what is typed: the value is set only when the page has another one.
export default {
  props: { label: String, text: String, options: Array, hint: String, name: String },
  emits: ["told"],
  template: `
    <div class="field">
      <label :for="name">{{ label }}</label>
      <select v-if="options" ref="box" :id="name" class="plain-select" :aria-describedby="described" @change="tell">
        <option v-for="option in options" :key="option">{{ option }}</option>
      </select>
      <input v-else ref="box" :id="name" class="plain-input" type="text" autocomplete="off" :aria-describedby="described" @change="tell">
      <span v-if="hint" :id="described" class="hint">{{ hint }}</span>
      <span v-if="other" role="status" class="mend">Changed elsewhere to {{ other }}; what you typed is not sent yet.</span>
    </div>`,
  data() {
    return { other: "" };
  },
  computed: {
    described() {
      return this.hint ? `${this.name}-hint` : undefined;
    },
  },
  mounted() {
    this.$refs.box.value = this.text;
  },
  watch: {
    text(text, before) {
      const box = this.$refs.box;
      const typing = document.activeElement === box && box.value !== before && box.value !== this.told;
      this.other = typing && box.value !== text ? text : "";
      if (!typing) box.value = text;
    },
  },
  methods: {
    tell(event) {
      this.other = "";
      this.told = event.target.value;
      this.$emit("told", event.target.value);
    },
  },
};
