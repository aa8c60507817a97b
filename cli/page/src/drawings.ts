// Small drawings in SVG: stacked bars by month, the carpet of hours and months, a split bar.
import { css, css_gradient, round_ends, scale_colour, ticks_between } from "./colour";
import { h, svg } from "./dom";
import { axis_number, clock, month_name } from "./units";

export interface Share {
    name: string;
    colour: string; // a token
    values: number[]; // as shown
}

export function key_of(shares: { name: string; colour: string }[]): HTMLElement {
    return h(
        "ul",
        { class: "key" },
        shares.map((share) => h("li", {}, h("span", { class: "swatch", style: `background: var(${share.colour})` }), share.name)),
    );
}

/// Twelve stacked bars; months that are not there stay empty.
export function month_bars(shares: Share[], unit: string, label: string): HTMLElement {
    const width = 420;
    const height = 210;
    const left = 40;
    const bottom = 24;
    const top = 30;
    const sums = Array.from({ length: 12 }, (_, m) => shares.reduce((sum, share) => sum + (share.values[m] || 0), 0));
    const scale = round_ends(0, Math.max(...sums, 1e-9), 4);
    const y = (value: number) => height - bottom - (value / scale.high) * (height - bottom - top);
    const picture = svg("svg", { viewBox: `0 0 ${width} ${height}`, role: "img", "aria-label": label, class: "drawing" });
    for (let value = 0; value <= scale.high + scale.step / 2; value += scale.step) {
        picture.append(
            svg("line", { x1: left, x2: width, y1: y(value), y2: y(value), class: "rule" }),
            svg("text", { x: left - 6, y: y(value) + 4, "text-anchor": "end" }, axis_number(value, scale.step)),
        );
    }
    picture.append(svg("text", { x: 0, y: 10 }, unit));
    const pitch = (width - left) / 12;
    for (let m = 0; m < 12; ++m) {
        let from = 0;
        for (const share of shares) {
            const value = share.values[m] || 0;
            if (value <= 0) continue;
            picture.append(
                svg("rect", {
                    x: left + m * pitch + pitch * 0.16,
                    width: pitch * 0.68,
                    y: y(from + value),
                    height: Math.max(0, y(from) - y(from + value)),
                    style: `fill: var(${share.colour})`,
                }),
            );
            from += value;
        }
        picture.append(
            svg("text", { x: left + (m + 0.5) * pitch, y: height - 7, "text-anchor": "middle" }, month_name(m, "narrow")),
        );
    }
    return h("div", {}, picture, key_of(shares));
}

/// [month * 24 + hour], as shown; NaN stays empty.
export function carpet(values: Float32Array, unit: string, label: string, first_minute: number): HTMLElement {
    let low = Infinity;
    let high = -Infinity;
    for (const value of values) {
        if (!Number.isFinite(value)) continue;
        low = Math.min(low, value);
        high = Math.max(high, value);
    }
    if (!(low <= high)) [low, high] = [0, 1];
    const scale = { low: Math.min(0, low), high: high > low ? high : low + 1, step: round_ends(Math.min(0, low), high, 5).step };
    const width = 420;
    const height = 210;
    const left = 40;
    const bottom = 24;
    const cell_x = (width - left) / 12;
    const cell_y = (height - bottom - 4) / 24;
    const picture = svg("svg", { viewBox: `0 0 ${width} ${height}`, role: "img", "aria-label": label, class: "drawing carpet" });
    for (let month = 0; month < 12; ++month) {
        for (let hour = 0; hour < 24; ++hour) {
            const value = values[month * 24 + hour]!;
            if (!Number.isFinite(value)) continue;
            picture.append(
                svg("rect", {
                    x: left + month * cell_x,
                    y: 4 + hour * cell_y,
                    width: cell_x + 0.3,
                    height: cell_y + 0.3,
                    fill: css(scale_colour((value - scale.low) / (scale.high - scale.low))),
                }),
            );
        }
        picture.append(
            svg("text", { x: left + (month + 0.5) * cell_x, y: height - 7, "text-anchor": "middle" }, month_name(month, "narrow")),
        );
    }
    for (const hour of [0, 6, 12, 18, 24]) {
        picture.append(
            svg("text", { x: left - 6, y: Math.max(11, 4 + hour * cell_y + (hour === 24 ? 0 : 4)), "text-anchor": "end" }, clock(hour * 60 + (hour < 24 ? first_minute : 0))),
        );
    }
    return h("div", {}, picture, scale_bar(scale.low, scale.high, scale.step, unit));
}

/// The scale of colours with its ends and steps.
export function scale_bar(low: number, high: number, step: number, unit: string): HTMLElement {
    const ticks = ticks_between(low, high, step);
    return h(
        "div",
        { class: "scale" },
        h("div", { class: "ramp", style: `background: ${css_gradient("to right")}` }),
        h(
            "div",
            { class: "ticks" },
            ticks.map((value) =>
                h("span", { style: `left: ${((value - low) / (high - low)) * 100}%` }, axis_number(value, step)),
            ),
        ),
        h("div", { class: "unit" }, unit),
    );
}

/// One bar that its shares fill.
export function split_bar(shares: { name: string; colour: string; value: number }[], label: string): HTMLElement {
    const sum = shares.reduce((all, share) => all + share.value, 0);
    return h(
        "div",
        { class: "split", role: "img", "aria-label": label },
        shares.map((share) =>
            h("span", {
                style: `background: var(${share.colour}); width: ${sum > 0 ? (share.value / sum) * 100 : 0}%`,
            }),
        ),
    );
}
