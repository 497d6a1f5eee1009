// A labelled text field or choice. The browser owns what is typed: the value is set only when the page has another one.
// A number with a natural range has a slider, and the arrow keys move it by a step; what is meant is sent when it rests.
const REST = 350; // milliseconds after the last step
// A number as the server writes it: thousands parted by commas, the unit of the field or none. Anything else is no number.
const NUMBER = /^\s*([-+]?(?:\d{1,3}(?:,\d{3})+|\d+)?(?:\.\d*)?(?:e[-+]?\d+)?)\s*(\D.*?)?\s*$/i;
function numeral(text, unit) {
  const found = NUMBER.exec(text);
  if (!found || !/\d/.test(found[1]) || (found[2] && found[2] !== unit)) return NaN;
  return Number(found[1].replaceAll(",", ""));
}
export default {
  props: { label: String, text: String, options: Array, hint: String, name: String, range: Object },
  emits: ["told"],
  template: `
    <div class="field">
      <label :for="name">{{ label }}</label>
      <select v-if="options" ref="box" :id="name" class="plain-select" :aria-describedby="described" @change="tell">
        <option v-for="option in options" :key="option" :value="option">{{ option }}</option>
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
    this.at = this.range?.value; // where the slider stands
  },
  unmounted() {
    clearTimeout(this.timer);
  },
  watch: {
    range(range) {
      this.at = range?.value;
    },
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
    back() {
      this.$refs.box.value = this.told = this.text;
      if (this.range) this.$refs.slide.value = this.at = this.range.value;
    },
    write(value, way = 0) {
      const { low, high, least, unit, digits } = this.range;
      let kept = Math.min(Math.max(value, low), high);
      // Below the least value stands only the lower end, which means something of its own.
      if (least !== null && kept > low && kept < least) kept = way > 0 || (!way && 2 * kept > low + least) ? least : low;
      this.$refs.box.value = `${kept.toFixed(digits)}${unit ? ` ${unit}` : ""}`;
      this.at = kept;
      return kept;
    },
    onStep(now, way) {
      const { step } = this.range; // the next whole step, so that what is written is what the slider stands at
      return (way > 0 ? Math.floor(now / step + 1e-6) + 1 : Math.ceil(now / step - 1e-6) - 1) * step;
    },
    slid(event) {
      // One step is an arrow key: it goes over what lies between the lower end and the least value, and does not fall back.
      const moved = Number(event.target.value) - this.at;
      const way = Math.abs(moved) < 1.5 * this.range.step ? Math.sign(moved) : 0;
      event.target.value = this.write(Number(event.target.value), way);
    },
    rest() {
      this.tell({ target: this.$refs.box });
    },
    key(event) {
      const way = { ArrowUp: 1, ArrowDown: -1 }[event.key];
      const now = this.range && way ? numeral(this.$refs.box.value, this.range.unit) : NaN;
      if (!Number.isFinite(now)) return;
      event.preventDefault();
      this.$refs.slide.value = this.write(this.onStep(now, way), way);
      clearTimeout(this.timer);
      this.timer = setTimeout(() => this.rest(), REST);
    },
  },
};
