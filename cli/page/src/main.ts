// The report page: reads the run, builds the sections and keeps them to what the reader chose.
import "./base.css";
import "./controls.css";
import "./sections.css";
import "./model.css";
import "./card.css";
import "./plots.css";
import "./plan.css";
import "./tables.css";
import "./narrow.css";
import "./print.css";
import { card } from "./card";
import { read_run, type Run } from "./data";
import { h } from "./dom";
import { findings } from "./findings";
import { in_money } from "./frontier";
import { draw_for_paper, draw_waiting_plots } from "./lines";
import { ModelPanel } from "./model_panel";
import { paints_of } from "./paint";
import { plant_and_comfort_tables } from "./heat_tables";
import { plan_section } from "./plan";
import { own_point } from "./plan_data";
import { room_plots, surface_plots } from "./plots";
import { defence_table, method, rooms_table, surfaces_table } from "./sections";
import { State, type Choices } from "./state";
import { text } from "./text";
import { number, set_system, with_unit, day_text, last_day } from "./units";

function segments(label: string, options: [string, string][], chosen: string, call: (value: string) => void): HTMLElement {
    return h(
        "fieldset",
        { class: "choices compact" },
        h("legend", { class: "off-screen" }, label),
        options.map(([value, name]) => {
            const input = h("input", { type: "radio", name: label, value, checked: value === chosen });
            input.addEventListener("change", () => call(value));
            return h("label", {}, input, h("span", {}, name));
        }),
    );
}

function top_bar(state: State, sections: [string, string][]): HTMLElement {
    const print = h("button", { type: "button" }, text.bar.print);
    print.addEventListener("click", () => window.print());
    return h(
        "div",
        { class: "bar screen" },
        h("nav", { "aria-label": text.bar.sections }, sections.map(([id, name]) => h("a", { href: `#${id}` }, name))),
        h(
            "div",
            { class: "bar-tools", role: "region", "aria-label": text.bar.view },
            segments(text.bar.units, [["metric", text.bar.metric], ["us", text.bar.us]], state.now.system, (value) =>
                state.set({ system: value as Choices["system"] }),
            ),
            segments(text.bar.theme, [["light", text.bar.light], ["dark", text.bar.dark]], state.now.dark ? "dark" : "light", (value) =>
                state.set({ dark: value === "dark" }),
            ),
            print,
        ),
    );
}

function masthead(run: Run): HTMLElement {
    const { site, period, model, units, surfaces } = run.summary;
    const span = period.months_of_years
        ? text.typical_year(...period.months_of_years)
        : text.from_to(day_text(period.from), day_text(last_day(period.to)));
    return h(
        "header",
        { class: "masthead" },
        h("h1", {}, model),
        h(
            "p",
            {},
            text.place(
                text.latitude(number(Math.abs(site.latitude_deg)), site.latitude_deg >= 0),
                text.longitude(number(Math.abs(site.longitude_deg)), site.longitude_deg >= 0),
                with_unit(site.elevation_m, "length", 0),
            ),
            " · ",
            period.weather,
            ` (${span})`,
            " · ",
            text.counts(units.length, surfaces.length, number(run.model.facets)),
        ),
    );
}

/// The hottest hour with sun of the period, or its brightest: a first look that shows something.
function first_hour(run: Run): { day: number; hour: number } {
    const { outdoor_c } = run.hours;
    let best = 12;
    let most = -Infinity;
    outdoor_c.forEach((value, i) => {
        if (Number.isFinite(run.sun.elevation_deg[i]!) && value > most) [best, most] = [i, value];
    });
    return { day: Math.floor(best / 24), hour: best % 24 };
}

function section(id: string, name: string, ...content: (Node | string | null)[]): HTMLElement {
    return h("section", { id, "aria-labelledby": `${id}-name` }, h("h2", { id: `${id}-name` }, name), content);
}

function surface_choice(run: Run, state: State): HTMLElement {
    const { surfaces } = run.summary;
    const order = surfaces
        .map((s, n) => ({ s, n }))
        .sort((a, b) => (a.s.rank ?? Infinity) - (b.s.rank ?? Infinity) || a.n - b.n);
    const choice = h(
        "select",
        { id: "surface-choice" },
        h("option", { value: "" }, text.card.nothing),
        order.map(({ s, n }) => h("option", { value: n }, s.rank ? `${s.rank}. ${s.id}` : s.id)),
    );
    choice.addEventListener("change", () => state.set({ surface: choice.value === "" ? null : Number(choice.value) }));
    const tell = () => (choice.value = state.now.surface === null ? "" : String(state.now.surface));
    state.on(["surface"], tell);
    tell();
    return h("label", { class: "field screen", for: "surface-choice" }, h("span", {}, text.card.choose), choice);
}

interface Built {
    root: HTMLElement;
    panel: ModelPanel;
    state: State;
    tell_plots: () => void;
}

function build(run: Run): Built {
    const { summary } = run;
    const { plan } = run;
    const best = summary.surfaces.findIndex((s) => (plan ? s.id === plan.chosen[0]?.surface : s.rank === 1));
    const suns = summary.surfaces.map((s) => s.sun.total_kwh_m2);
    const first = best >= 0 || run.with_heat ? best : suns.indexOf(Math.max(...suns));
    const paints = paints_of(run);
    const state = new State({
        paint: paints.includes("finish") ? "finish" : paints[0]!,
        ...first_hour(run),
        surface: first >= 0 ? first : null,
        unit: 0,
        plan: plan ? own_point(plan) : 0,
        system: "metric",
        dark: matchMedia("(prefers-color-scheme: dark)").matches,
        hidden: new Set(),
    });
    const show_theme = () => (document.documentElement.dataset.theme = state.now.dark ? "dark" : "light");
    // Before everything that reads colours.
    state.on(["dark"], show_theme);
    state.on(["system"], () => set_system(state.now.system));
    show_theme();

    const head = masthead(run);
    const told = h("div", { class: "findings" });
    const side = h("div", { class: "side", role: "region", "aria-label": text.card.title });
    const side_card = h("div", { "aria-live": "polite" });
    side.append(surface_choice(run, state), side_card);
    const near_grid = h("div", { class: "plots pair" });
    const surface_grid = h("div", { class: "plots" });
    const closer = h("h3", {});
    const room_name = h("h3", {});
    const room_grid = h("div", { class: "plots wide" });
    const panel = new ModelPanel(run, state);
    const surfaces = surfaces_table(run, state);
    const rooms = rooms_table(run, state);
    const room_details = h("div");
    const defence = h("div");
    const how = h("div", { class: "how" });

    const tell_findings = () => told.replaceChildren(...findings(run, state));
    const tell_card = () => side_card.replaceChildren(card(run, state));
    const tell_surface = () => {
        const { surface } = state.now;
        closer.classList.toggle("screen", surface === null);
        closer.textContent = surface === null ? text.plots.none : text.plots.of(summary.surfaces[surface]!.id);
        const { near, rest } = surface === null ? { near: [], rest: [] } : surface_plots(run, state, surface);
        near_grid.replaceChildren(...near);
        surface_grid.replaceChildren(...rest);
    };
    const tell_room = () => {
        const unit = summary.units[state.now.unit];
        room_name.textContent = unit && run.with_heat ? text.plots.of(unit.id) : "";
        room_grid.replaceChildren(...(unit ? room_plots(run, state, state.now.unit).filter((f) => f !== null) : []));
    };
    const tell_plots = () => {
        tell_surface();
        tell_room();
        draw_waiting_plots();
    };
    const tell_defence = () => {
        if ((summary.defence?.length ?? 0) > 1) defence.replaceChildren(...defence_table(run));
    };
    const tell_room_details = () => room_details.replaceChildren(...plant_and_comfort_tables(run));
    const tell_how = () => {
        const open = [...how.querySelectorAll("details")].map((d) => d.open);
        how.replaceChildren(...method(run).filter((e) => e !== null));
        how.querySelectorAll("details").forEach((d, n) => (d.open = open[n] ?? false));
    };
    // While a slider is drawn or a day plays, plots follow once it rests.
    let rest = 0;
    state.on(["surface", "system", "plan"], tell_card);
    let surface_due = false;
    let room_due = false;
    const due = (of: { surface?: boolean; room?: boolean }) => {
        surface_due ||= of.surface ?? false;
        room_due ||= of.room ?? false;
        clearTimeout(rest);
        rest = window.setTimeout(() => {
            if (surface_due) tell_surface();
            if (room_due) tell_room();
            surface_due = room_due = false;
        }, 120);
    };
    state.on(["surface"], () => due({ surface: true }));
    state.on(["unit"], () => due({ room: true }));
    state.on(["day", "hour", "system"], () => due({ surface: true, room: true }));
    // At once: paper does not wait.
    state.on(["dark"], tell_plots);
    state.on(["system"], () => {
        head.replaceChildren(...masthead(run).children);
        tell_findings();
        tell_room_details();
        tell_defence();
        tell_how();
    });
    state.on(["surface", "system"], () => surfaces.table.draw());
    state.on(["unit", "system"], () => rooms.table.draw());
    tell_findings();
    tell_card();
    tell_room_details();
    tell_defence();
    tell_how();

    const with_defence = (summary.defence?.length ?? 0) > 1;
    const names = text.sections;
    const sections: [string, string][] = [
        ["findings", names.findings],
        ["model", names.model],
        ["surfaces", names.surfaces],
        ...(plan ? [["plan", names.plan] as [string, string]] : []),
        ["rooms", names.rooms],
        ...(with_defence ? [["defence", names.defence] as [string, string]] : []),
        ["method", names.method],
    ];
    const of_surfaces = section("surfaces", names.surfaces, h("p", { class: "intro" }, surfaces.intro), surfaces.table.element);
    // Where there is a plan its purchases are wanted on paper, and its rooms before and after.
    const of_rooms = h("div", {}, h("p", { class: "intro" }, rooms.intro), rooms.table.element);
    for (const part of [of_surfaces, of_rooms]) part.classList.toggle("screen", !!plan);
    const root = h(
        "div",
        { class: "page" },
        h("a", { class: "skip", href: "#findings" }, text.skip),
        top_bar(state, sections),
        head,
        h(
            "main",
            {},
            section("findings", names.findings, told),
            section("model", names.model, h("div", { class: "with-side" }, h("div", {}, panel.element, near_grid), side), closer, surface_grid),
            of_surfaces,
            plan ? section("plan", names.plan, ...plan_section(run, plan, state)) : "",
            section("rooms", names.rooms, of_rooms, room_name, room_grid, room_details),
            with_defence ? section("defence", names.defence, h("p", { class: "intro" }, text.defence.intro), defence) : "",
            section("method", names.method, how),
        ),
        h("footer", {}, h("p", {}, text.made_by(summary.version))),
    );
    return { root, panel, state, tell_plots };
}

/// Paper is white, and a canvas of WebGL does not print: a picture of it does.
function ready_for_print(panel: ModelPanel, state: State): void {
    const picture = h("img", { class: "print-only printed", alt: "" });
    panel.element.querySelector(".canvas")?.append(picture);
    let was_dark = false;
    window.addEventListener("beforeprint", () => {
        was_dark = state.now.dark;
        state.set({ dark: false });
        draw_for_paper(true);
        if (panel.view) picture.src = panel.view.picture(1104, 672);
    });
    window.addEventListener("afterprint", () => {
        draw_for_paper(false);
        state.set({ dark: was_dark });
    });
}

async function start(): Promise<void> {
    try {
        const run = await read_run(document.getElementById("run-data")?.textContent ?? "null");
        const { plan, summary } = run;
        document.title = plan ? text.title_of_plan(summary.model, in_money(plan, plan.budget)) : text.title(summary.model);
        const { root, panel, state, tell_plots } = build(run);
        document.body.replaceChildren(root);
        // Words and tables are on the screen before the picture, and the picture before the plots.
        await new Promise((done) => setTimeout(done));
        panel.show_model();
        ready_for_print(panel, state);
        if (location.hash.length > 1) document.getElementById(location.hash.slice(1))?.scrollIntoView();
        performance.mark("ready");
        document.documentElement.dataset.ready = "yes";
        setTimeout(tell_plots);
        // For whoever drives the page by a program: tests, pictures.
        Object.assign(window, { report: { run, state, view: panel.view } });
    } catch (error) {
        document.body.replaceChildren(h("p", { class: "broken" }, `${text.broken} ${error instanceof Error ? error.message : String(error)}`));
        throw error;
    }
}

void start();
