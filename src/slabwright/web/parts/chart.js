// A plotly drawing. It is drawn only while it can be seen, and again only when its figure has changed.
const bundle = import("nicegui-plotly"); // begins to load before the page is put together
const EVENTS = ["click", "doubleclick", "selected", "relayout", "afterplot"];
let loaded = null; // the library, once it has come: what is printed is drawn before the browser lays the paper out
bundle.then(({ Plotly }) => (loaded = Plotly));
const PAPER = 660; // pixels of CSS: less than the width between the margins of a letter or A4 sheet upright
const idle = () => new Promise((ready) => (window.requestIdleCallback ?? setTimeout)(ready, { timeout: 400 }));

export default {
  props: { figure: String },
  emits: EVENTS.map((name) => `plotly_${name}`),
  template: "<div></div>",
  created() {
    // Nothing here needs Vue's watching. `wanted` is the figure to show and `edition` its number.
    Object.assign(this, { wanted: JSON.parse(this.figure), edition: 1, drawn: 0, visible: false, busy: false, gone: false, printed: false });
    this.before = () => this.print();
    this.after = () => this.unprint();
  },
  mounted() {
    this.seen = new IntersectionObserver((entries) => {
      this.visible = entries.at(-1).isIntersecting;
      this.draw();
    }, { rootMargin: "150px" });
    this.seen.observe(this.$el);
    this.sized = new ResizeObserver(() => this.resize());
    this.sized.observe(this.$el);
    window.addEventListener("beforeprint", this.before);
    window.addEventListener("afterprint", this.after);
    this.$emit("plotly_afterplot"); // its width is told before the library has come, so that it is drawn for it at once
  },
  unmounted() {
    this.gone = true;
    this.seen.disconnect();
    this.sized.disconnect();
    window.removeEventListener("beforeprint", this.before);
    window.removeEventListener("afterprint", this.after);
    if (this.drawn) this.plotly.purge(this.$el);
  },
  watch: {
    figure(figure) {
      this.take(JSON.parse(figure));
    },
  },
  methods: {
    take(figure) {
      this.wanted = figure;
      this.edition += 1;
      this.draw();
    },
    amend(text) {
      const change = JSON.parse(text);
      const old = this.wanted.data ?? [];
      const data = Array.from({ length: change.count }, (_, i) => change.data[i] ?? old[i]);
      this.take({ data, layout: { ...this.wanted.layout, ...change.layout }, config: change.config });
    },
    shown() {
      return !this.gone && (this.visible || this.printed) && this.$el.isConnected && this.$el.offsetWidth > 0;
    },
    async draw() {
      if (this.busy) return; // the loop below takes up what came meanwhile
      this.busy = true;
      try {
        while (this.shown() && this.drawn !== this.edition) {
          this.plotly ??= loaded ?? (await bundle).Plotly;
          if (this.drawn && !this.printed) await idle(); // words before pictures, and the last of several
          if (this.shown()) await this.put();
        }
      } finally {
        this.busy = false;
      }
    },
    async put() {
      const first = this.drawn === 0;
      this.drawn = this.edition;
      this.width = this.$el.offsetWidth;
      const { data, layout, config } = this.wanted;
      // Plotly writes into the layout that it is given.
      await this.plotly[first ? "newPlot" : "react"](this.$el, data, structuredClone(layout), { ...config, responsive: false });
      if (!first) return;
      for (const name of EVENTS) this.$el.on(`plotly_${name}`, (event) => this.$emit(`plotly_${name}`, event));
      this.$emit("plotly_afterplot");
    },
    print() {
      this.printed = true;
      this.draw();
      if (this.drawn && this.$el.offsetWidth > PAPER) this.plotly.relayout(this.$el, { autosize: false, width: PAPER });
    },
    unprint() {
      this.printed = false;
      if (this.drawn) this.plotly.relayout(this.$el, { autosize: true, width: null });
    },
    resize() {
      if (this.printed || !this.drawn || !this.shown() || this.$el.offsetWidth === this.width) return;
      this.width = this.$el.offsetWidth;
      this.plotly.relayout(this.$el, { autosize: true });
    },
  },
};
