// Plant sizes, rooms without cooling, and what the building is made of.
import { stem, type Construction, type HeatAccount, type Layer, type Run, type Unit } from "./data";
import { h } from "./dom";
import { Table } from "./table";
import { text } from "./text";
import { converted, date_text, number, time_text, with_unit } from "./units";

const wbgt_limit_c = 30;
const rated_outdoor_c = 35;

/// "8.8", or of several "2 × 14.0 + 2.0".
function plants_text(plants_w: number[]): string {
    const [first = 0, last = 0] = [plants_w[0], plants_w.at(-1)];
    const of_first = plants_w.filter((w) => w === first).length;
    const size = (watts: number) => number(watts / 1000, "load", 1);
    return `${of_first > 1 ? `${of_first} × ` : ""}${size(first)}${last < first ? ` + ${size(last)}` : ""}`;
}

/// Where the heat of every room comes from and goes, fans and the largest heating load beside it.
function accounts(run: Run): HTMLElement[] {
    const words = text.accounts;
    const names = words.columns;
    const heat = (name: string, key: keyof HeatAccount) => ({
        name,
        value: (u: Unit) => u.heat_account[key],
        quantity: "heat" as const,
        digits: 0,
    });
    const table = new Table<Unit>({
        caption: words.title,
        file: `${stem(run)}-heat-accounts.csv`,
        columns: [
            { name: text.rooms.columns.id, value: (u) => u.id },
            heat(names.roof, "roof_kwh"),
            heat(names.walls, "walls_kwh"),
            heat(names.floor, "floor_kwh"),
            heat(names.panes, "panes_kwh"),
            heat(names.sun, "sun_through_panes_kwh"),
            heat(names.leaks, "leaks_kwh"),
            heat(names.ventilation, "ventilation_kwh"),
            heat(names.doorways, "doorways_kwh"),
            heat(names.gains, "gains_kwh"),
            heat(names.heating, "heating_kwh"),
            heat(names.cooling, "cooling_kwh"),
            heat(names.stored, "stored_kwh"),
            { name: names.peak_heating, value: (u) => u.peak_heating_w / 1000, quantity: "load", digits: 2 },
            { name: names.fan, value: (u) => u.fan_electricity_kwh, quantity: "electricity", digits: 0 },
        ],
        rows: run.summary.units,
        name_of: (u) => u.id,
        sorted_by: 0,
        unsorted: true,
        first_rows: 30,
        printed_rows: 40,
    });
    return [h("h3", {}, words.title), h("p", { class: "intro" }, words.intro), table.element];
}

/// Sizes by the year and by the handbook's day; nothing where nothing is cooled or the period is no year.
function plants(run: Run): HTMLElement[] {
    const { units, design_day } = run.summary;
    if (!design_day || !units.some((u) => u.peak_cooling_w > 0)) return [];
    const words = text.plants;
    const names = words.columns;
    const column = (name: string, watts: (u: Unit) => number | undefined, digits = 2) => ({
        name,
        value: (u: Unit) => (watts(u) ?? NaN) / 1000,
        quantity: "load" as const,
        digits,
    });
    const table = new Table<Unit>({
        caption: words.title,
        file: `${stem(run)}-plants.csv`,
        columns: [
            { name: text.rooms.columns.id, value: (u) => u.id },
            column(names.load, (u) => u.peak_load_w),
            column(names.latent, (u) => u.peak_latent_w),
            column(names.rated, (u) => u.needed_capacity_w),
            column(names.day_load, (u) => u.design_day?.total_w),
            column(names.day_latent, (u) => u.design_day?.latent_w),
            column(names.day_rated, (u) => u.design_day?.needed_capacity_w),
            { ...column(names.buy, (u) => u.plant_to_buy_w, 1), show: (u: Unit) => plants_text(u.plants_to_buy_w) },
        ],
        rows: units,
        name_of: (u) => u.id,
        sorted_by: 0,
        unsorted: true,
        first_rows: 30,
        printed_rows: 40,
    });
    const intro = words.intro(
        with_unit(design_day.peak_dry_bulb_c, "temperature", 1),
        with_unit(design_day.daily_range_k, "difference", 1),
        with_unit(design_day.dew_point_c, "temperature", 1),
        date_text(design_day.sun_of),
        with_unit(rated_outdoor_c, "temperature", 0),
    );
    return [h("h3", {}, words.title), h("p", { class: "intro" }, intro), table.element];
}

function without_cooling(run: Run): HTMLElement[] {
    const words = text.uncooled;
    const names = words.columns;
    const limit = with_unit(wbgt_limit_c, "temperature", 0);
    const comfort = run.summary.inputs.find((i) => i.key === "room.comfort_limit");
    const table = new Table<Unit>({
        caption: words.title,
        file: `${stem(run)}-without-cooling.csv`,
        columns: [
            { name: text.rooms.columns.id, value: (u) => u.id },
            { name: names.free, value: (u) => u.peak_air_c, quantity: "temperature", digits: 1 },
            { name: names.when, value: (u) => u.peak_air_time.slice(5, 16), show: (u) => time_text(u.peak_air_time), screen_only: true },
            { name: names.too_hot, value: (u) => u.hours_too_hot_h, quantity: "hours", digits: 0 },
            { name: names.degree_hours, value: (u) => u.too_hot_kh, quantity: "degree_hours", digits: 0 },
            { name: names.wbgt, value: (u) => u.peak_wbgt_c, quantity: "temperature", digits: 1 },
            { name: names.wbgt_hours(limit), value: (u) => u.hours_above_30_wbgt_h, quantity: "hours", digits: 0 },
        ],
        rows: run.summary.units,
        name_of: (u) => u.id,
        sorted_by: 0,
        unsorted: true,
        first_rows: 30,
        printed_rows: 40,
    });
    const standard = String(comfort?.value ?? "").toUpperCase();
    return [h("h3", {}, words.title), h("p", { class: "intro" }, words.intro(standard, limit)), table.element];
}

/// What stands below the rooms.
export function plant_and_comfort_tables(run: Run): HTMLElement[] {
    // A plan has told its plants, as they are and with it.
    const of_plants = h("div", { class: run.plan ? "screen" : null }, plants(run));
    return run.with_heat ? [...accounts(run), of_plants, ...without_cooling(run)] : [];
}

function layer_text(layer: Layer): string {
    const words = text.constructions;
    const resistance = layer.resistance_m2k_w === undefined ? "" : words.resistance(with_unit(layer.resistance_m2k_w, "resistance"));
    if (layer.resistance_m2k_w !== undefined && layer.thickness_m === undefined) return resistance;
    const thickness_mm = (layer.thickness_m ?? NaN) * 1000;
    const shown = String(Number(converted(thickness_mm, "thickness").toPrecision(3)));
    const thickness = with_unit(thickness_mm, "thickness", shown.split(".")[1]?.length ?? 0);
    if (layer.gap_emittance !== undefined) return words.gap(thickness, layer.bridge ?? "", resistance);
    return words.layer(thickness, layer.material ?? "");
}

function materials(run: Run, constructions: Construction[]): HTMLElement {
    const words = text.materials;
    const names = words.columns;
    const by_name = new Map<string, Layer>();
    for (const layer of constructions.flatMap((c) => c.layers)) if (layer.material !== undefined) by_name.set(layer.material, layer);
    return new Table<Layer>({
        caption: words.title,
        file: `${stem(run)}-materials.csv`,
        columns: [
            { name: names.name, value: (m) => m.material ?? "" },
            { name: names.conductivity, value: (m) => m.conductivity_w_mk ?? null, quantity: "conductivity", show: (m) => number(m.conductivity_w_mk, "conductivity") },
            { name: names.density, value: (m) => m.density_kg_m3 ?? null, quantity: "density", digits: 0 },
            { name: names.specific_heat, value: (m) => m.specific_heat_j_kgk ?? null, quantity: "specific_heat", show: (m) => number(m.specific_heat_j_kgk, "specific_heat") },
            { name: names.source, value: (m) => m.source ?? "" },
        ],
        rows: [...by_name.values()].sort((a, b) => ((a.material ?? "") < (b.material ?? "") ? -1 : 1)),
        name_of: (m) => m.material ?? "",
        sorted_by: 0,
        unsorted: true,
        tools: false,
    }).element;
}

/// What surfaces are made of as they stand, and the materials in it.
export function constructions_tables(run: Run): HTMLElement[] {
    const { constructions } = run.summary;
    if (!constructions?.length) return [];
    const words = text.constructions;
    const names = words.columns;
    const table = new Table<Construction>({
        caption: words.title,
        file: `${stem(run)}-constructions.csv`,
        columns: [
            { name: names.name, value: (c) => c.name },
            { name: names.on, value: (c) => words.on[c.on] ?? c.on },
            { name: names.surfaces, value: (c) => c.surfaces, quantity: "count", digits: 0 },
            { name: names.area, value: (c) => c.area_m2, quantity: "area", digits: 0 },
            { name: names.u, value: (c) => c.u_value_w_m2k, quantity: "transmittance", digits: 2 },
            { name: names.absorptance, value: (c) => c.outside_absorptance, quantity: "count", digits: 2 },
            { name: names.lets_in, value: (c) => c.solar_transmittance, quantity: "count", digits: 2 },
            { name: names.emittance, value: (c) => c.outside_emittance, quantity: "count", digits: 2 },
            { name: names.layers, value: (c) => c.layers.map(layer_text).join(" + ") },
        ],
        rows: constructions,
        name_of: (c) => c.name,
        sorted_by: 0,
        unsorted: true,
        tools: false,
    });
    return [
        h("h3", {}, words.title),
        h("p", { class: "intro" }, words.intro),
        table.element,
        h("h3", {}, text.materials.title),
        materials(run, constructions),
    ];
}
