// The scale of results, the same as in coloured.step (geometry/colour_scale.cpp): a helix in CIELAB
// (CIE 15, D65), whose lightness and hue rise evenly at one chroma, on one side of the red-green axis.

export type Rgb = [number, number, number];

function over_white(t: number): number {
    const knee = 6 / 29;
    return t > knee ? t * t * t : 3 * knee * knee * (t - 4 / 29);
}

/// IEC 61966-2-1.
function screen_value(linear: number): number {
    return linear <= 0.0031308 ? 12.92 * linear : 1.055 * linear ** (1 / 2.4) - 0.055;
}

export function linear_value(screen: number): number {
    return screen <= 0.04045 ? screen / 12.92 : ((screen + 0.055) / 1.055) ** 2.4;
}

function helix(t: number): Rgb {
    const hue = ((300 + 165 * t) * Math.PI) / 180;
    const y = (25 + 63 * t + 16) / 116;
    const x_part = 0.95047 * over_white(y + (60 * Math.cos(hue)) / 500);
    const y_part = over_white(y);
    const z_part = 1.08883 * over_white(y - (60 * Math.sin(hue)) / 200);
    const channel = (a: number, b: number, c: number) =>
        screen_value(Math.min(1, Math.max(0, a * x_part + b * y_part + c * z_part)));
    return [
        channel(3.2404542, -1.5371385, -0.4985314),
        channel(-0.969266, 1.8760108, 0.041556),
        channel(0.0556434, -0.2040259, 1.0572252),
    ];
}

const steps = 512;
const table: Rgb[] = Array.from({ length: steps + 1 }, (_, i) => helix(i / steps));

/// From 0, dark violet, over red to 1, light yellow.
export function scale_colour(value: number): Rgb {
    return table[Math.round(Math.min(1, Math.max(0, value)) * steps)]!;
}

export function css(colour: Rgb): string {
    return `rgb(${colour.map((c) => Math.round(c * 255)).join(" ")})`;
}

export function css_gradient(direction: string, stops = 24): string {
    const list = Array.from({ length: stops + 1 }, (_, i) => css(scale_colour(i / stops)));
    return `linear-gradient(${direction}, ${list.join(", ")})`;
}

// Kinds that have no order, such as finishes: told apart by lightness as much as by hue.
const kinds: Rgb[] = ["8c3b6e", "e0a030", "2b2d5b", "7fb7a4", "c8553d", "b7a0d8"].map(
    (hex) => [0, 2, 4].map((at) => parseInt(hex.slice(at, at + 2), 16) / 255) as Rgb,
);

/// The colour of the n-th kind; after six of them lighter ones follow.
export function kind_colour(n: number): Rgb {
    const lighter = Math.min(0.75, 0.4 * Math.floor(n / kinds.length));
    return kinds[n % kinds.length]!.map((c) => c + (1 - c) * lighter) as Rgb;
}

/// Whole steps from low to high.
export function ticks_between(low: number, high: number, step: number): number[] {
    const first = Math.ceil(low / step - 1e-9);
    const last = Math.floor(high / step + 1e-9);
    return Array.from({ length: Math.max(0, last - first + 1) }, (_, n) => (first + n) * step);
}

/// Round ends about the given values: 1, 2 or 5 times a power of ten apart.
export function round_ends(low: number, high: number, wanted = 5): { low: number; high: number; step: number } {
    if (!(high > low)) high = low + 1;
    const rough = (high - low) / wanted;
    const power = 10 ** Math.floor(Math.log10(rough));
    const step = [1, 2, 5, 10].map((k) => k * power).find((s) => s >= rough * 0.999)!;
    return { low: Math.floor(low / step + 1e-9) * step, high: Math.ceil(high / step - 1e-9) * step, step };
}
