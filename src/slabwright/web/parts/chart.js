// A plotly drawing. It is drawn only while it can be seen, and again only when its figure has changed.
const bundle = import("nicegui-plotly"); // begins to load before the page is put together
const EVENTS = ["click", "doubleclick", "selected", "relayout", "afterplot"];
let loaded = null; // the library, once it has come: what is printed is drawn before the browser lays the paper out
bundle.then(({ Plotly }) => (loaded = Plotly));
const PAPER = 660; // pixels of CSS: less than the width between the margins of a letter or A4 sheet upright
const idle = () => new Promise((ready) => (window.requestIdleCallback ?? setTimeout)(ready, { timeout: 400 }));

export default {
  props: { figure: String, gestures: Boolean },
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
      this.resize(); // it may have changed its width out of sight
    }, { rootMargin: "150px" });
    this.seen.observe(this.$el);
    this.sized = new ResizeObserver(() => this.resize());
    this.sized.observe(this.$el);
    window.addEventListener("beforeprint", this.before);
    window.addEventListener("afterprint", this.after);
    if (this.gestures) {
      const actively = { passive: false };
      this.$el.addEventListener("wheel", (event) => this.wheel(event), actively);
      this.$el.addEventListener("touchstart", (event) => this.pinch(event), actively);
      this.$el.addEventListener("touchmove", (event) => this.pinch(event), actively);
      this.$el.addEventListener("touchend", () => (this.apart = null));
    }
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
      const { data, layout, config } = this.wanted;
      // Plotly writes into the layout that it is given.
      await this.plotly[first ? "newPlot" : "react"](this.$el, data, structuredClone(layout), { ...config, responsive: false });
      this.fit(); // the page found its width while the drawing was made
      if (!first) return;
      for (const name of EVENTS) {
        this.$el.on(`plotly_${name}`, (event) => {
          if (name !== "relayout" || !this.range) this.$emit(`plotly_${name}`, event); // a gesture tells once, when it rests
        });
      }
      this.$emit("plotly_afterplot");
    },
    print() {
      this.printed = true;
      this.draw();
      if (this.drawn && this.$el.offsetWidth > PAPER) this.plotly.relayout(this.$el, { autosize: false, width: PAPER });
    },
    wheel(event) {
      if (!this.drawn || (event.shiftKey && !event.ctrlKey)) return;
      event.preventDefault();
      this.zoom(event.clientX, Math.exp(Math.max(-60, Math.min(60, event.deltaY)) * 0.004));
    },
    pinch(event) {
      if (event.touches.length !== 2 || !this.drawn) return;
      event.preventDefault();
      event.stopPropagation();
      const [one, other] = [event.touches[0].clientX, event.touches[1].clientX];
      const apart = Math.max(Math.abs(one - other), 8);
      if (this.apart) this.zoom((one + other) / 2, this.apart / apart);
      this.apart = apart;
    },
    zoom(place, factor) {
      // Shown at once for every step of a gesture; the page hears of the range when the gesture rests.
      const axis = this.$el._fullLayout.xaxis;
      const [least, most] = [axis.minallowed ?? -Infinity, axis.maxallowed ?? Infinity];
      const [begin, end] = this.range ?? axis.range;
      const at = begin + ((end - begin) * (place - this.$el.getBoundingClientRect().left - axis._offset)) / axis._length;
      this.range = [Math.max(least, at - (at - begin) * factor), Math.min(most, at + (end - at) * factor)];
      clearTimeout(this.resting);
      this.resting = setTimeout(() => {
        const [a, b] = this.range;
        this.range = null;
        this.$emit("plotly_relayout", { "xaxis.range[0]": a, "xaxis.range[1]": b });
      }, 160);
      this.frame ??= requestAnimationFrame(() => {
        this.frame = null;
        if (this.range && this.shown()) this.plotly.relayout(this.$el, { "xaxis.range[0]": this.range[0], "xaxis.range[1]": this.range[1] });
      });
    },
    save(format, filename) {
      // As large as two columns of a sheet, on the ground that the page has.
      if (!this.drawn) return;
      const ground = getComputedStyle(document.body).backgroundColor;
      const { data, layout } = this.wanted;
      const whole = { data, layout: { ...structuredClone(layout), paper_bgcolor: ground, plot_bgcolor: ground } };
      this.plotly.downloadImage(whole, { format, filename, width: this.$el.offsetWidth, height: this.$el.offsetHeight, scale: 2 });
    },
    unprint() {
      this.printed = false;
      if (this.drawn) this.plotly.relayout(this.$el, { autosize: true, width: null });
    },
    resize() {
      if (!this.busy) this.fit(); // a drawing that is being made is fitted when it stands
    },
    fit() {
      // A drawing that is drawn anew keeps the width it had: what counts is that width, to the pixel that Plotly tells apart.
      const known = this.$el._fullLayout?.width;
      if (this.printed || !known || !this.shown() || Math.abs(this.$el.offsetWidth - known) <= 1) return;
      this.plotly.relayout(this.$el, { autosize: true });
    },
  },
};
