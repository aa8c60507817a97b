// What other budgets reach: the curve of computed budgets, one of them chosen.
import { round_ends } from "./colour";
import { h, svg, fresh_id } from "./dom";
import { figure } from "./figure";
import { bought_beside, of_goal, own_point, purchases_of, type Plan } from "./plan_data";
import type { State } from "./state";
import { text } from "./text";
import { axis_number, converted, number, unit_of, with_unit } from "./units";

const words = text.plan;

/// Of all amounts of a plan: hundredths count in a small budget.
export function money_digits(plan: Plan): number {
    return plan.budget < 1000 ? 2 : 0;
}

export function in_money(plan: Plan, amount: number): string {
    return `${number(amount, "money", money_digits(plan))} ${plan.currency}`.trim();
}

/// The goal's figure, or what is saved of it.
export function figure_text(plan: Plan, from: object, name: string): string {
    const { value, quantity } = of_goal(plan, from, name);
    return quantity === "money" ? in_money(plan, value) : with_unit(value, quantity);
}

function curve(plan: Plan, state: State): SVGElement {
    const width = 640;
    const height = 300;
    const [left, right, top, bottom] = [62, 16, 34, 44];
    const points = plan.frontier.map((point) => {
        const { value, quantity } = of_goal(plan, point, "goal");
        return { cost: point.cost, value: converted(value, quantity) };
    });
    const { quantity } = of_goal(plan, plan.frontier[0]!, "goal");
    const x_scale = round_ends(0, Math.max(...points.map((p) => p.cost), 1), 6);
    const y_scale = round_ends(0, Math.max(...points.map((p) => p.value), 1e-9), 4);
    const x = (cost: number) => left + (cost / x_scale.high) * (width - left - right);
    const y = (value: number) => height - bottom - (value / y_scale.high) * (height - bottom - top);
    const label = words.curve_label(words.goals[plan.goal]);
    const picture = svg("svg", { viewBox: `0 0 ${width} ${height}`, role: "img", "aria-label": label, class: "drawing frontier" });
    for (let value = 0; value <= y_scale.high + y_scale.step / 2; value += y_scale.step) {
        picture.append(
            svg("line", { x1: left, x2: width - right, y1: y(value), y2: y(value), class: "rule" }),
            svg("text", { x: left - 8, y: y(value) + 4, "text-anchor": "end" }, axis_number(value, y_scale.step)),
        );
    }
    for (let cost = 0; cost <= x_scale.high + x_scale.step / 2; cost += x_scale.step)
        picture.append(svg("text", { x: x(cost), y: height - bottom + 18, "text-anchor": "middle" }, axis_number(cost, x_scale.step)));
    const unit = quantity === "money" ? plan.currency : unit_of(quantity);
    picture.append(
        svg("text", { x: 0, y: 12 }, `${words.goals[plan.goal]}, ${unit}`),
        svg("text", { x: width - right, y: height - 6, "text-anchor": "end" }, words.spent_axis(plan.currency)),
    );
    const now = points[state.now.plan]!;
    picture.append(
        svg("line", { x1: x(now.cost), x2: x(now.cost), y1: top - 6, y2: height - bottom, class: "at" }),
        svg("polyline", { points: points.map((p) => `${x(p.cost)},${y(p.value)}`).join(" "), class: "curve" }),
    );
    const own = own_point(plan);
    points.forEach((point, n) => {
        const place = { cx: x(point.cost), cy: y(point.value) };
        const dot = svg("circle", { ...place, r: n === state.now.plan ? 7 : 4, class: n === state.now.plan ? "dot chosen" : "dot" });
        // A mouse needs more to hit than the eye needs to see; keys have the slider.
        const target = svg("circle", { ...place, r: 13, class: "target" });
        target.addEventListener("click", () => state.set({ plan: n }));
        if (n === own) picture.append(svg("circle", { ...place, r: 11, class: "own" }));
        picture.append(dot, target);
    });
    return picture;
}

function slider(plan: Plan, state: State): HTMLElement {
    const id = fresh_id("budget");
    const input = h("input", { type: "range", id, min: 0, max: plan.frontier.length - 1, step: 1, value: state.now.plan });
    const shown = h("output", { for: id });
    input.addEventListener("input", () => state.set({ plan: Number(input.value) }));
    const tell = () => {
        const point = plan.frontier[state.now.plan]!;
        input.value = String(state.now.plan);
        shown.textContent = in_money(plan, point.budget);
        input.setAttribute(
            "aria-valuetext",
            words.budget_says(in_money(plan, point.budget), purchases_of(point), figure_text(plan, point, "goal")),
        );
    };
    state.on(["plan", "system"], tell);
    tell();
    return h("div", { class: "slider screen" }, h("label", { for: id }, words.budget), input, shown);
}

/// What comes in and goes out against the plan, in words.
function change_text(plan: Plan, n: number): string {
    const own = own_point(plan);
    if (n === own) return words.change_own;
    const most_named = 8;
    const listed = (from: number, other: number) => {
        const items = bought_beside(plan, plan.frontier[from]!, plan.frontier[other]!).map(([surface, treatment]) => words.change_item(surface, treatment));
        return words.change_list(items.slice(0, most_named), items.length - most_named);
    };
    return words.change(listed(n, own), listed(own, n));
}

export function frontier_figure(plan: Plan, state: State): HTMLElement {
    const host = h("div");
    const told = h("dl", { class: "told", "aria-live": "polite" });
    const change = h("p", { class: "note change", "aria-live": "polite" });
    const tell = () => {
        const point = plan.frontier[state.now.plan]!;
        const before = of_goal(plan, plan.frontier[0]!, "goal").value;
        const with_calls = plan.frontier.some((p) => p.call_out_cost > 0);
        const with_shades = plan.frontier.some((p) => p.shades.length > 0);
        const less = 1 - of_goal(plan, point, "goal").value / before;
        host.replaceChildren(curve(plan, state));
        change.textContent = change_text(plan, state.now.plan);
        told.replaceChildren(
            ...[
                [words.told.spent, in_money(plan, point.cost)],
                ...(with_calls ? [[words.told.call_outs, in_money(plan, point.call_out_cost)]] : []),
                [words.told.surfaces, number(point.candidates.length)],
                ...(with_shades ? [[words.told.shades, number(point.shades.length)]] : []),
                [words.told.left, figure_text(plan, point, "goal")],
                [words.told.less, Number.isFinite(less) ? with_unit(100 * less, "percent", 1) : "–"],
            ].map(([name, value]) => h("div", {}, h("dt", {}, name!), h("dd", {}, value!))),
        );
    };
    state.on(["plan", "system", "dark"], tell);
    tell();
    const own = h("button", { type: "button" }, words.own);
    own.addEventListener("click", () => state.set({ plan: own_point(plan) }));
    const show = h("a", { href: "#model", class: "button" }, words.show);
    show.addEventListener("click", () => state.set({ paint: "finish" }));
    return figure(
        words.curve,
        h(
            "div",
            { class: "frontier-grid" },
            h("div", {}, host, slider(plan, state), change, h("div", { class: "row screen" }, own, show)),
            told,
        ),
        () => ({
            head: [
                `${words.budget} [${plan.currency}]`,
                `${words.told.spent} [${plan.currency}]`,
                words.told.surfaces,
                words.told.left,
            ],
            rows: plan.frontier.map((point) => [
                number(point.budget, "money", money_digits(plan)),
                number(point.cost, "money", money_digits(plan)),
                number(point.candidates.length),
                figure_text(plan, point, "goal"),
            ]),
        }),
        words.curve_note,
    );
}
