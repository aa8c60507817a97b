// The picture of the model with what is chosen about it: colours, day and hour, bodies, surface.
import { scale_bar } from "./drawings";
import { css, css_gradient, kind_colour } from "./colour";
import { h, fresh_id } from "./dom";
import type { Run } from "./data";
import { in_money } from "./frontier";
import { start_graphics } from "./graphics";
import { group_of, ModelView } from "./model_view";
import { is_hourly, Painter, paints_of, quantity_of } from "./paint";
import { day_name } from "./plots";
import type { State } from "./state";
import { hour_begin_min, sun_at } from "./sun";
import { text } from "./text";
import { axis_number, clock, with_unit } from "./units";

const words = text.model;

export class ModelPanel {
    readonly element: HTMLElement;
    view: ModelView | null = null;
    private painter: Painter;
    private host = h("div", { class: "canvas" });
    private legend = h("div", { class: "legend" });
    private pointed = h("p", { class: "pointed screen", hidden: true });
    private sky = h("p", { class: "sun-place", "aria-live": "off" });
    private slow = h("p", { class: "note", hidden: true });
    private time = h("div", { class: "time" });
    private playing: { timer: number; button: HTMLButtonElement } | null = null;

    constructor(
        private run: Run,
        private state: State,
    ) {
        this.painter = new Painter(run);
        const stage = h("div", { class: "stage" }, this.host, this.legend, this.sky, this.pointed);
        this.element = h("div", { class: "model-panel" }, this.paints(), stage, this.time, this.under());
        this.fill_time();
        state.on(["paint", "day", "hour", "plan", "system"], () => this.tell());
        this.tell();
    }

    /// Takes longest of all: called once the rest of the page stands.
    show_model(): void {
        try {
            this.view = new ModelView(this.run, this.state, this.painter, this.host, start_graphics(), words.picture(this.run.summary.model));
            this.view.on_hover = (surface) => this.read_out(surface);
            this.view.on_slow = (by_processor) => {
                this.slow.textContent = by_processor ? words.slow_by_processor : words.slow;
                this.slow.hidden = false;
            };
            this.view.fit();
        } catch (error) {
            // Without WebGL everything else still stands; the console says why.
            console.warn(error);
            this.host.append(h("p", { class: "note" }, words.no_webgl));
        }
    }

    /// Name and value of what the pointer is on.
    private read_out(surface: number | null): void {
        const told = surface === null ? undefined : this.run.summary.surfaces[surface];
        this.pointed.hidden = !told;
        if (!told || surface === null) return;
        const { paint } = this.state.now;
        if (paint === "finish") {
            const name = this.painter.finish_name(surface, this.state.now);
            this.pointed.replaceChildren(h("b", {}, told.id), name === null ? "" : ` ${name}`);
            return;
        }
        const value = this.painter.surface_value(paint, surface, this.state.now);
        const digits = paint === "outside" ? 1 : 0;
        this.pointed.replaceChildren(
            h("b", {}, told.id),
            Number.isFinite(value) ? ` ${with_unit(value, quantity_of(paint), digits)}` : "",
        );
    }

    private paints(): HTMLElement {
        const name = fresh_id("paint");
        return h(
            "fieldset",
            { class: "choices screen" },
            h("legend", {}, text.paint.name),
            paints_of(this.run).map((paint) => {
                const input = h("input", { type: "radio", name, value: paint, checked: paint === this.state.now.paint });
                input.addEventListener("change", () => this.state.set({ paint }));
                return h("label", {}, input, h("span", {}, text.paint.of[paint]));
            }),
        );
    }

    private slider(name: string, most: number, key: "day" | "hour"): HTMLElement {
        const id = fresh_id(key);
        const input = h("input", { type: "range", id, min: 0, max: most, step: 1, value: this.state.now[key] });
        const shown = h("output", { for: id });
        input.addEventListener("input", () => {
            const paint = is_hourly(this.state.now.paint) ? this.state.now.paint : "sun_hour";
            this.state.set({ [key]: Number(input.value), paint });
        });
        const tell = () => {
            const now = this.state.now[key];
            input.value = String(now);
            const begin = hour_begin_min(this.run, now);
            const value = key === "day" ? day_name(this.run, now) : `${clock(begin)} – ${clock(begin + 60)}`;
            shown.textContent = value;
            input.setAttribute("aria-valuetext", value);
        };
        this.state.on([key], tell);
        tell();
        return h("div", { class: "slider" }, h("label", { for: id }, name), input, shown);
    }

    private fill_time(): void {
        const { n_days } = this.run;
        const play_day = h("button", { type: "button" }, words.play_day);
        play_day.addEventListener("click", () => this.play(play_day, words.play_day, () => ({ hour: this.next_lit_hour() })));
        const play_year = h("button", { type: "button" }, words.play_year);
        const stride = Math.max(1, Math.round(n_days / 73));
        play_year.addEventListener("click", () =>
            this.play(play_year, words.play_year, () => ({ day: (this.state.now.day + stride) % n_days })),
        );
        this.time.append(
            this.slider(words.hour, 23, "hour"),
            ...(n_days > 1 ? [this.slider(words.day, n_days - 1, "day")] : []),
            h("div", { class: "plays screen" }, play_day, n_days > 1 && play_year),
        );
    }

    /// Nights are passed over.
    private next_lit_hour(): number {
        const { day, hour } = this.state.now;
        for (let more = 1; more <= 24; ++more) {
            const next = (hour + more) % 24;
            if (sun_at(this.run, day, next)) return next;
        }
        return (hour + 1) % 24;
    }

    private play(button: HTMLButtonElement, name: string, next: () => { day?: number; hour?: number }): void {
        const was = this.playing;
        if (was) {
            clearInterval(was.timer);
            was.button.textContent = was.button === button ? name : words.play_day;
            was.button.setAttribute("aria-pressed", "false");
            this.playing = null;
            for (const other of this.time.querySelectorAll("button"))
                if (other === was.button) other.textContent = other.dataset.name ?? name;
            if (was.button === button) return;
        }
        button.dataset.name = name;
        const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
        if (!is_hourly(this.state.now.paint)) this.state.set({ paint: "sun_hour" });
        button.textContent = words.pause;
        button.setAttribute("aria-pressed", "true");
        this.playing = { button, timer: window.setInterval(() => this.state.set(next()), calm ? 1500 : 260) };
    }

    private under(): HTMLElement {
        const names = [...new Set(this.run.bodies.map((_, n) => group_of(this.run, n)))].filter((name) =>
            this.run.bodies.some((b, n) => group_of(this.run, n) === name && b.role !== "ignore"),
        );
        const boxes = new Map<string, HTMLInputElement>();
        const all = h("button", { type: "button" }, words.all_bodies);
        all.addEventListener("click", () => this.state.set({ hidden: new Set() }));
        const list = h(
            "ul",
            { class: "bodies" },
            names.map((name) => {
                const box = h("input", { type: "checkbox", checked: true });
                boxes.set(name, box);
                box.addEventListener("change", () => {
                    const hidden = new Set(this.state.now.hidden);
                    if (box.checked) hidden.delete(name);
                    else hidden.add(name);
                    this.state.set({ hidden });
                });
                const alone = h("button", { type: "button", class: "plain", "aria-label": words.alone_label(name) }, words.alone);
                alone.addEventListener("click", () =>
                    this.state.set({ hidden: new Set(names.filter((other) => other !== name)) }),
                );
                return h("li", {}, h("label", {}, box, name), alone);
            }),
        );
        this.state.on(["hidden"], () => {
            for (const [name, box] of boxes) box.checked = !this.state.now.hidden.has(name);
        });
        const start = h("button", { type: "button" }, words.start_view);
        start.addEventListener("click", () => this.view?.look_from_start());
        const touch = matchMedia("(pointer: coarse)").matches;
        return h(
            "div",
            { class: "under screen" },
            h("p", { class: "note" }, touch ? words.hint_touch : words.hint),
            this.slow,
            h("div", { class: "row" }, start, all),
            h("details", {}, h("summary", {}, words.bodies), list),
        );
    }

    private tell(): void {
        const { paint, day, hour } = this.state.now;
        const scale = this.painter.scale(paint);
        const radio = this.element.querySelector<HTMLInputElement>(`input[type=radio][value=${paint}]`);
        if (radio) radio.checked = true;
        const bar = scale.kinds
            ? h(
                  "ul",
                  { class: "finishes" },
                  this.painter
                      .kinds_bought(this.state.now)
                      .map((n) => h("li", {}, h("span", { class: "swatch", style: `background: ${css(kind_colour(n))}` }), scale.kinds![n]!)),
              )
            : scale.reversed
            ? h(
                  "div",
                  { class: "scale" },
                  h("div", { class: "ramp", style: `background: ${css_gradient("to right")}` }),
                  h(
                      "div",
                      { class: "ticks" },
                      scale.ticks.map(({ at, value }) => h("span", { style: `left: ${at * 100}%` }, axis_number(value, 1))),
                  ),
              )
            : scale_bar(scale.low, scale.high, scale.step, scale.unit);
        const hourly = is_hourly(paint);
        const begin = hour_begin_min(this.run, hour);
        this.legend.replaceChildren(
            h("p", {}, paint === "rank" && this.run.plan ? text.paint.rank_alone : text.paint.legend[paint]),
            scale.kinds && this.run.plan
                ? h("p", { class: "when" }, text.plan.for_budget(in_money(this.run.plan, this.run.plan.frontier[this.state.now.plan]!.budget)))
                : "",
            hourly ? h("p", { class: "when" }, `${day_name(this.run, day)}, ${clock(begin)} – ${clock(begin + 60)}`) : "",
            bar,
            h("p", { class: "bare" }, h("span", { class: "swatch", style: "background: var(--bare)" }), text.paint.bare[paint]),
        );
        const sun = sun_at(this.run, day, hour);
        this.sky.hidden = !hourly;
        this.sky.textContent = sun
            ? words.sun_at(with_unit(sun.elevation_deg, "angle", 0), with_unit(sun.azimuth_deg, "angle", 0))
            : words.night;
    }
}
