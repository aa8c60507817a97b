// Line plots by uPlot, in the colours of the page.
import uPlot from "uplot";
import "uplot/dist/uPlot.min.css";
import { h, token } from "./dom";
import { axis_number, unit_of, type Quantity } from "./units";

export interface Line {
    name: string;
    quantity: Quantity;
    values: (number | null)[]; // as shown
    colour: string; // a token
    filled?: boolean;
    bars?: boolean;
    dashed?: boolean;
    right?: boolean;
    digits?: number;
}

export interface LinePlot {
    x: number[];
    x_name: string;
    x_text: (x: number) => string;
    x_ticks?: (low: number, high: number) => number[];
    x_range?: [number, number];
    lines: Line[];
    label: string;
    mark?: number; // a place on x that is marked
    height?: number;
}

interface Open {
    plot: uPlot;
    host: HTMLElement;
    draw_anew: () => void;
}

const open = new Set<Open>();
const waiting = new Set<{ host: HTMLElement; fit: () => void }>();

/// Paper has its own widths [CSS pixels], in rows of two and of three, and finer points than a screen:
/// plots are drawn `times` as large and laid down small, letters as small as those about them.
const paper = { of_two: 316, of_three: 200, height: 132, times: 3, letters: 0.66 };
let on_paper = false;

/// Draws all that stands for paper, or for the screen again.
export function draw_for_paper(wanted: boolean): void {
    on_paper = wanted;
    for (const entry of [...open]) entry.draw_anew();
}

function paper_width(host: HTMLElement): number {
    return host.closest(".plots.wide, .plots.pair") ? paper.of_two : paper.of_three;
}

/// Plots of elements that are gone are let go.
function sweep(): void {
    for (const entry of open) {
        if (entry.host.isConnected) continue;
        entry.plot.destroy();
        open.delete(entry);
    }
}

function with_alpha(colour: string, alpha: number): string {
    return `color-mix(in srgb, ${colour} ${alpha * 100}%, transparent)`;
}

function rgb_with_alpha(colour: string, alpha: number): string {
    const hex = /^#([0-9a-f]{2})([0-9a-f]{2})([0-9a-f]{2})$/i.exec(colour);
    if (!hex) return with_alpha(colour, alpha);
    return `rgba(${hex.slice(1).map((two) => parseInt(two, 16)).join(",")},${alpha})`;
}

export function line_plot(of: LinePlot): HTMLElement {
    const host = h("div", { class: "plot", role: "img", "aria-label": of.label });
    const height = of.height ?? 224;
    host.style.minHeight = `${height + 30}px`;
    const ink = token("--quiet");
    const grid = token("--rule");
    const family = token("--sans") || "sans-serif";
    const left = of.lines.find((line) => !line.right);
    const right = of.lines.find((line) => line.right);
    const axis = (scale: string, side: 1 | 3, times: number): uPlot.Axis => ({
        scale,
        side,
        stroke: ink,
        font: `${12 * times}px ${family}`,
        size: 46 * times,
        gap: 4 * times,
        space: 30 * times,
        grid: side === 3 ? { stroke: grid, width: times } : { show: false },
        ticks: { show: false },
        values: (_plot, splits) => splits.map((v, i) => axis_number(v, Math.abs((splits[i + 1] ?? splits[i - 1] ?? v + 1) - v) || 1)),
    });
    const units = (plot: uPlot, times: number) => {
        const pen = plot.ctx;
        pen.save();
        pen.fillStyle = ink;
        pen.font = `${12 * times * devicePixelRatio}px ${family}`;
        pen.textBaseline = "top";
        pen.textAlign = "left";
        if (left) pen.fillText(unit_of(left.quantity), 0, 0);
        pen.textAlign = "right";
        if (right) pen.fillText(unit_of(right.quantity), plot.width * devicePixelRatio, 0);
        pen.restore();
    };
    const mark = (times: number): uPlot.Plugin => ({
        hooks: {
            draw: (plot) => {
                units(plot, times);
                if (of.mark === undefined) return;
                const x = Math.round(plot.valToPos(of.mark, "x", true));
                const pen = plot.ctx;
                pen.save();
                pen.strokeStyle = token("--chosen");
                pen.lineWidth = times * devicePixelRatio;
                pen.setLineDash([4 * times * devicePixelRatio, 3 * times * devicePixelRatio]);
                pen.beginPath();
                pen.moveTo(x, plot.bbox.top);
                pen.lineTo(x, plot.bbox.top + plot.bbox.height);
                pen.stroke();
                pen.restore();
            },
        },
    });
    const make = (width: number, height: number, times: number): uPlot =>
        new uPlot(
            {
                width,
                height,
                plugins: [mark(times)],
                padding: [24 * times, right ? 0 : 14 * times, 0, 0],
                scales: {
                    x: { time: false, ...(of.x_range ? { range: of.x_range } : {}) },
                    left: { range: (_plot, low, high) => uPlot.rangeNum(Math.min(0, low), high, 0.1, true) },
                    right: { range: (_plot, low, high) => uPlot.rangeNum(low, high, 0.1, true) },
                },
                axes: [
                    {
                        stroke: ink,
                        font: `${12 * times}px ${family}`,
                        size: 30 * times,
                        gap: 4 * times,
                        space: 50 * times,
                        grid: { show: false },
                        ticks: { stroke: grid, size: 4 * times, width: times },
                        values: (_plot, splits) => splits.map((x) => of.x_text(x)),
                        ...(of.x_ticks ? { splits: (_p: uPlot, _i: number, low: number, high: number) => of.x_ticks!(low, high) } : {}),
                    },
                    ...(left ? [axis("left", 3, times)] : []),
                    ...(right ? [axis("right", 1, times)] : []),
                ],
                series: [
                    { label: of.x_name, value: (_plot, x) => (x === null ? "" : of.x_text(x)) },
                    ...of.lines.map((line): uPlot.Series => {
                        const colour = token(line.colour);
                        return {
                            label: line.name,
                            scale: line.right ? "right" : "left",
                            stroke: colour,
                            width: line.bars ? 0 : 2 * times,
                            ...(line.filled || line.bars ? { fill: rgb_with_alpha(colour, line.bars ? 0.55 : 0.25) } : {}),
                            ...(line.bars ? { paths: uPlot.paths.bars!({ size: [0.9, 100 * times], gap: 0 }) } : {}),
                            ...(line.dashed ? { dash: [5 * times, 4 * times] } : {}),
                            points: { show: false },
                            value: (_plot, v) => (v === null ? "" : `${axis_number(v, 10 ** -(line.digits ?? 0))} ${unit_of(line.quantity)}`),
                        };
                    }),
                ],
                cursor: { drag: { x: false, y: false }, points: { size: 7 } },
                legend: { live: true },
            },
            [of.x, ...of.lines.map((line) => line.values)] as uPlot.AlignedData,
            host,
        );
    let plot: uPlot | null = null;
    let entry: Open | null = null;
    const draw_anew = () => {
        if (entry) open.delete(entry);
        plot?.destroy();
        plot = null;
        fit();
    };
    const fit = () => {
        const width = on_paper ? paper_width(host) : Math.floor(host.clientWidth);
        if (width < 40) return;
        if (plot) {
            // Paper's layout comes after its plots were drawn for it.
            if (!on_paper && plot.width !== width) plot.setSize({ width, height });
            return;
        }
        sweep();
        plot = on_paper
            ? make(width * paper.times, paper.height * paper.times, paper.times * paper.letters)
            : make(width, height, 1);
        entry = { plot, host, draw_anew };
        open.add(entry);
    };
    waiting.add({ host, fit });
    new ResizeObserver(fit).observe(host);
    return host;
}

/// Draws at once what would be drawn with the next frame: paper does not wait for it.
export function draw_waiting_plots(): void {
    for (const { host, fit } of waiting) if (host.isConnected) fit();
    waiting.clear();
}

