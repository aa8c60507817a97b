// Numbers as the reader's locale writes them, in metric units or in those of the United States.

export type System = "metric" | "us";

interface Measure {
    metric: string;
    us: string;
    factor: number;
    offset?: number;
}

// Conversions: NIST SP 811 (2008), appendix B; the BTU is that of the International Table.
const btu_of_wh = 3.412141633;
const feet2_of_m2 = 10.76391042;
const measures = {
    area: { metric: "m²", us: "ft²", factor: feet2_of_m2 },
    volume: { metric: "m³", us: "ft³", factor: 35.31466672 },
    length: { metric: "m", us: "ft", factor: 3.280839895 },
    energy_per_area: { metric: "kWh/m²", us: "kBTU/ft²", factor: btu_of_wh / feet2_of_m2 },
    flux: { metric: "W/m²", us: "BTU/h·ft²", factor: btu_of_wh / feet2_of_m2 },
    heat: { metric: "kWh", us: "kBTU", factor: btu_of_wh },
    electricity: { metric: "kWh", us: "kWh", factor: 1 },
    power: { metric: "W", us: "BTU/h", factor: btu_of_wh },
    load: { metric: "kW", us: "BTU/h", factor: btu_of_wh * 1000 },
    temperature: { metric: "°C", us: "°F", factor: 1.8, offset: 32 },
    difference: { metric: "K", us: "°F", factor: 1.8 },
    degree_hours: { metric: "K h", us: "°F h", factor: 1.8 },
    speed: { metric: "m/s", us: "ft/min", factor: 196.8503937 },
    thickness: { metric: "mm", us: "in", factor: 1 / 25.4 },
    transmittance: { metric: "W/m²·K", us: "BTU/h·ft²·°F", factor: 1 / 5.678263341 },
    resistance: { metric: "m²·K/W", us: "h·ft²·°F/BTU", factor: 5.678263341 },
    conductivity: { metric: "W/m·K", us: "BTU·in/h·ft²·°F", factor: 1 / 0.1442278889 },
    density: { metric: "kg/m³", us: "lb/ft³", factor: 1 / 16.01846337 },
    specific_heat: { metric: "J/kg·K", us: "BTU/lb·°F", factor: 1 / 4186.8 },
    hours: { metric: "h", us: "h", factor: 1 },
    years: { metric: "years", us: "years", factor: 1 },
    count: { metric: "", us: "", factor: 1 },
    money: { metric: "", us: "", factor: 1 },
    per_area: { metric: "m²", us: "ft²", factor: 1 / feet2_of_m2 },
    heat_per_cost: { metric: "kWh", us: "kBTU", factor: btu_of_wh },
    percent: { metric: "%", us: "%", factor: 1 },
    angle: { metric: "°", us: "°", factor: 1 },
} satisfies Record<string, Measure>;

export type Quantity = keyof typeof measures;

let system: System = "metric";
const locale = navigator.languages?.length ? [...navigator.languages] : undefined;
const formats = new Map<string, Intl.NumberFormat>();

function format(options: Intl.NumberFormatOptions): Intl.NumberFormat {
    const key = JSON.stringify(options);
    let made = formats.get(key);
    if (!made) formats.set(key, (made = new Intl.NumberFormat(locale, options)));
    return made;
}

export function set_system(next: System): void {
    system = next;
}

export function unit_of(quantity: Quantity): string {
    return measures[quantity][system];
}

export function converted(value: number, quantity: Quantity): number {
    const measure: Measure = measures[quantity];
    return system === "metric" ? value : value * measure.factor + (measure.offset ?? 0);
}

/// `digits` decimals; without them three significant digits, or all of a whole number.
export function number(value: number | null | undefined, quantity: Quantity = "count", digits?: number): string {
    if (value === null || value === undefined || !Number.isFinite(value)) return "–";
    const shown = converted(value, quantity);
    const whole = Math.abs(shown) >= 100 || shown === 0 || (quantity === "count" && Number.isInteger(shown));
    // A BTU/h is a third of a watt: no parts of it are told.
    if (quantity === "load" && system === "us") digits = 0;
    const decimals = digits ?? (whole ? 0 : Math.max(0, Math.min(3, 2 - Math.floor(Math.log10(Math.abs(shown))))));
    // What rounds to nothing has no sign.
    const nothing = Math.abs(shown) < 0.5 * 10 ** -decimals;
    return format({ minimumFractionDigits: decimals, maximumFractionDigits: decimals }).format(nothing ? 0 : shown);
}

export function with_unit(value: number | null | undefined, quantity: Quantity, digits?: number): string {
    const unit = unit_of(quantity);
    const text = number(value, quantity, digits);
    return text === "–" || unit === "" ? text : `${text}${unit === "°" || unit === "%" ? "" : "\u00a0"}${unit}`;
}

/// Decimals that a step of this size has: places on a scale are told as they are.
export function axis_number(value: number, step: number): string {
    let decimals = Math.max(0, Math.min(6, -Math.floor(Math.log10(step) + 1e-9)));
    const parts = step * 10 ** decimals;
    if (decimals < 6 && Math.abs(parts - Math.round(parts)) > 1e-6 * parts) ++decimals;
    return format({ minimumFractionDigits: decimals, maximumFractionDigits: decimals }).format(value === 0 ? 0 : value);
}

export function small_share(value: number): string {
    if (!(value > 0)) return number(value);
    const power = Math.floor(Math.log10(value));
    const raised = [...String(power)].map((c) => (c === "-" ? "⁻" : "⁰¹²³⁴⁵⁶⁷⁸⁹"[Number(c)])).join("");
    return `${format({ maximumFractionDigits: 1 }).format(value / 10 ** power)} × 10${raised}`;
}

/// Decimals for a column of numbers of which this is the largest: three digits of that at least.
export function column_digits(values: (number | null | undefined)[], quantity: Quantity): number {
    const most = values.reduce<number>((m, v) => Math.max(m, Math.abs(converted(v ?? 0, quantity))), 0);
    return most >= 100 ? 0 : most >= 10 ? 1 : 2;
}

/// "2023-07-21" without its year, or "2023-07-21T15:15+03:00" with the clock of the site.
export function day_text(date: string): string {
    const at = new Date(Date.UTC(Number(date.slice(0, 4)), Number(date.slice(5, 7)) - 1, Number(date.slice(8, 10))));
    return new Intl.DateTimeFormat(locale, { day: "numeric", month: "short", timeZone: "UTC" }).format(at);
}

export function date_text(date: string): string {
    const at = new Date(`${date.slice(0, 10)}T00:00Z`);
    return new Intl.DateTimeFormat(locale, { dateStyle: "medium", timeZone: "UTC" }).format(at);
}

/// The last day of a period that ends at this time: midnight belongs to the day before.
export function last_day(end: string): string {
    if (end.slice(11, 16) !== "00:00") return end;
    const at = Date.UTC(Number(end.slice(0, 4)), Number(end.slice(5, 7)) - 1, Number(end.slice(8, 10)) - 1);
    return new Date(at).toISOString();
}

export function time_text(time: string | null | undefined): string {
    return time ? `${day_text(time)}, ${time.slice(11, 16)}` : "–";
}

export function month_name(month: number, form: "short" | "long" | "narrow" = "short"): string {
    return new Intl.DateTimeFormat(locale, { month: form, timeZone: "UTC" }).format(Date.UTC(2023, month, 15));
}

export function clock(minutes: number): string {
    return `${String(Math.floor(minutes / 60)).padStart(2, "0")}:${String(minutes % 60).padStart(2, "0")}`;
}
