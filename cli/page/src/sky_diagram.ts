// The sky as a surface sees it: sun's paths over what stands in the way, on an even polar grid.
import type { Run } from "./data";
import { h, token } from "./dom";
import type { Numbers } from "./figure";
import { text } from "./text";
import { clock, with_unit } from "./units";
import { compass_points, hour_begin_min, suns_of_day } from "./sun";

const first_body = 4; // see cli/report_masks.hpp
const casters = ["--cast-1", "--cast-2", "--cast-3", "--cast-4"];

interface Sight {
    number: number;
    name: string;
    cells: number;
    colour: string;
}

/// What is seen, most of it first; beyond four bodies the rest shares a colour.
function sights_of(run: Run, mask: Uint32Array): Sight[] {
    const counts = new Map<number, number>();
    const rows = 90 / run.masks!.elevation_step_deg;
    const columns = mask.length / rows;
    mask.forEach((seen, i) => {
        // Cells near the zenith are small: each counts by its solid angle.
        const elevation = (Math.floor(i / columns) + 0.5) * run.masks!.elevation_step_deg;
        counts.set(seen, (counts.get(seen) ?? 0) + Math.cos((elevation * Math.PI) / 180));
    });
    const names = [text.plots.sky, text.plots.behind, text.plots.hills, text.plots.ground];
    const fixed = ["--open-sky", "--behind", "--hills", "--hills"];
    let bodies = 0;
    return [...counts]
        .sort((a, b) => b[1] - a[1])
        .map(([seen, cells]) => ({
            number: seen,
            cells,
            name: names[seen] ?? run.masks!.names[seen - first_body] ?? text.plots.others,
            colour: fixed[seen] ?? casters[bodies++] ?? "--cast-5",
        }));
}

export function sky_numbers(run: Run, mask: Uint32Array): Numbers {
    const sights = sights_of(run, mask);
    const all = sights.reduce((sum, sight) => sum + sight.cells, 0);
    return {
        head: [text.plots.seen, text.plots.share],
        rows: sights.map((sight) => [sight.name, with_unit((100 * sight.cells) / all, "percent", 1)]),
    };
}

export function sky_diagram(run: Run, mask: Uint32Array, day: number, hour: number, label: string): HTMLElement {
    const size = 640;
    const middle = size / 2;
    const rim = size / 2 - 34;
    const canvas = h("canvas", { width: size, height: size, class: "sky-diagram", role: "img", "aria-label": label });
    const pen = canvas.getContext("2d")!;
    const sights = sights_of(run, mask);
    const colours = new Map(sights.map((sight) => [sight.number, token(sight.colour)]));
    const at = (azimuth: number, elevation: number): [number, number] => {
        const r = (rim * (90 - elevation)) / 90;
        const a = (azimuth * Math.PI) / 180;
        return [middle + r * Math.sin(a), middle - r * Math.cos(a)];
    };
    const step_a = run.masks!.azimuth_step_deg;
    const step_e = run.masks!.elevation_step_deg;
    const columns = 360 / step_a;
    mask.forEach((seen, i) => {
        const outer = (rim * (90 - Math.floor(i / columns) * step_e)) / 90;
        const inner = outer - (rim * step_e) / 90;
        const from = (((i % columns) * step_a - 90) * Math.PI) / 180;
        // A little over its edge, so that no seams show.
        const to = from + ((step_a + 0.25) * Math.PI) / 180;
        pen.fillStyle = colours.get(seen)!;
        pen.beginPath();
        pen.arc(middle, middle, outer, from, to);
        pen.arc(middle, middle, Math.max(0, inner - 0.5), to, from, true);
        pen.fill();
    });
    pen.strokeStyle = token("--rule-strong");
    pen.lineWidth = 1.5;
    for (const elevation of [0, 30, 60]) {
        pen.beginPath();
        pen.arc(middle, middle, (rim * (90 - elevation)) / 90, 0, 2 * Math.PI);
        pen.stroke();
    }
    pen.fillStyle = token("--ink");
    pen.font = `600 24px ${token("--sans")}`;
    pen.textAlign = "center";
    pen.textBaseline = "middle";
    for (const [name, azimuth] of compass_points) {
        const [x, y] = at(azimuth, -6);
        pen.fillText(name, x, y);
    }
    const draw = (points: [number, number][], colour: string, width: number) => {
        pen.strokeStyle = colour;
        pen.lineWidth = width;
        pen.beginPath();
        points.forEach(([x, y], i) => (i ? pen.lineTo(x, y) : pen.moveTo(x, y)));
        pen.stroke();
    };
    for (const path of run.sun.paths) {
        const points = path.azimuth_deg.map((azimuth, i) => at(azimuth, path.elevation_deg[i]!));
        draw(points, token("--path-halo"), 5);
        draw(points, token("--path"), 2);
    }
    const suns = suns_of_day(run, day);
    for (const sun of suns) {
        const [x, y] = at(sun.azimuth_deg, sun.elevation_deg);
        const now = sun.hour === hour;
        pen.beginPath();
        pen.arc(x, y, now ? 13 : 5, 0, 2 * Math.PI);
        pen.fillStyle = token("--sun");
        pen.fill();
        pen.strokeStyle = token("--path-halo");
        pen.lineWidth = 2.5;
        pen.stroke();
        if (!now) continue;
        pen.font = `600 27px ${token("--sans")}`;
        const name = clock(hour_begin_min(run, sun.hour) + 30);
        pen.lineWidth = 8;
        pen.strokeText(name, x, y - 32);
        pen.fillStyle = token("--ink");
        pen.fillText(name, x, y - 32);
    }
    const named = sights.slice(0, 7);
    return h(
        "div",
        {},
        canvas,
        h(
            "ul",
            { class: "key" },
            named.map((sight) => h("li", {}, h("span", { class: "swatch", style: `background: var(${sight.colour})` }), sight.name)),
        ),
    );
}
