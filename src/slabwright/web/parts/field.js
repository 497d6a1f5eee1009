// A labelled text field or choice. The browser owns what is typed: the value is set only when the page has another one.
// A number with a natural range has a slider, and the arrow keys move it by a step; what is meant is sent when it rests.
const REST = 350; // milliseconds after the last step
export default {
  props: { label: String, text: String, options: Array, hint: String, name: String, range: Object },
  emits: ["told"],
  template: `
    <div class="field">
      <label :for="name">{{ label }}</label>
      <select v-if="options" ref="box" :id="name" class="plain-select" :aria-describedby="described" @change="tell">
        <option v-for="option in options" :key="option">{{ option }}</option>
      </select>
      <input v-else ref="box" :id="name" class="plain-input" type="text" autocomplete="off" :aria-describedby="described" @change="tell" @keydown="key">
      <input v-if="range" ref="slide" type="range" :aria-label="label + ', slider'" :min="range.low" :max="range.high" :step="range.step" :value="range.value"
        @input="slid" @change="rest">
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
  unmounted() {
    clearTimeout(this.timer);
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
      clearTimeout(this.timer);
      this.other = "";
      this.told = event.target.value;
      this.$emit("told", event.target.value);
    },
    write(value) {
      const { low, high, step, unit } = this.range;
      const kept = Math.min(Math.max(value, low), high);
      const digits = Math.max(0, Math.ceil(-Math.log10(step) - 1e-9));
      this.$refs.box.value = `${kept.toFixed(digits)}${unit ? ` ${unit}` : ""}`;
      return kept;
    },
    slid(event) {
      this.write(Number(event.target.value));
    },
    rest() {
      this.tell({ target: this.$refs.box });
    },
    key(event) {
      const way = { ArrowUp: 1, ArrowDown: -1 }[event.key];
      const now = Number.parseFloat(this.$refs.box.value);
      if (!this.range || !way || !Number.isFinite(now)) return;
      event.preventDefault();
      this.$refs.slide.value = this.write(now + way * this.range.step);
      clearTimeout(this.timer);
      this.timer = setTimeout(() => this.rest(), REST);
    },
  },
};
