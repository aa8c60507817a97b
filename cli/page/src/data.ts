// What the program hands to the page, and how its packed numbers are read.

import { ranks_alone, type Plan } from "./plan_data";

export interface Packed {
    form: "f32" | "u32" | "u8" | "i16";
    count: number;
    step?: number;
    bytes: string;
}

export interface Treated {
    treatment: string;
    cost: number;
    saves_cooling_kwh: number;
    adds_heating_kwh: number;
    saves_peak_w: number;
    lowers_peak_outside_k: number;
    saves_kwh_per_cost: number;
}

export interface Surface {
    id: string;
    unit: string | null;
    kind: string;
    azimuth_deg: number;
    tilt_deg: number;
    centroid_m: [number, number, number];
    area_m2: number;
    exposed_area_m2: number;
    construction: string;
    rank?: number | null;
    sun: {
        direct_kwh_m2: number;
        sky_kwh_m2: number;
        ground_kwh_m2: number;
        bounced_kwh_m2: number;
        total_kwh_m2: number;
        unshaded_direct_kwh_m2: number;
        sun_hours_h: number;
        standard_error_kwh_m2: number;
        earliest_sun: string | null;
        latest_sun: string | null;
        worst_hour_w_m2: number;
        worst_hour_end: string | null;
        worst_day_kwh_m2: number;
        worst_day: string | null;
        shaded_by: { body: string; own: boolean; kwh_m2: number }[];
    };
    heat?: {
        absorbed_kwh_m2: number;
        inward_kwh: number | null;
        peak_inward_w: number | null;
        peak_inward_time: string | null;
        peak_outside_c: number | null;
        peak_outside_time: string | null;
        mean_outside_c: number | null;
        condensation_h: number | null;
        hottest_part: { facet: number; area_m2: number; peak_outside_c: number; peak_outside_time: string } | null;
        hot_to_touch: { contact_s: number; threshold_c: number; hours_h: number }[] | null;
    };
    treatments?: Treated[];
}

/// Into the room, below 0 out of it; all but the last add up to the last.
export interface HeatAccount {
    roof_kwh: number;
    walls_kwh: number;
    floor_kwh: number;
    panes_kwh: number;
    sun_through_panes_kwh: number;
    leaks_kwh: number;
    ventilation_kwh: number;
    doorways_kwh: number;
    gains_kwh: number;
    heating_kwh: number;
    cooling_kwh: number;
    stored_kwh: number;
}

/// Without heat only the first three stand there.
export interface Unit {
    id: string;
    floor_area_m2: number;
    volume_m3: number;
    cooling_kwh: number;
    latent_kwh: number;
    heating_kwh: number;
    electricity_kwh: number;
    electricity_cost: number;
    peak_cooling_w: number;
    needed_capacity_w: number;
    hours_not_met_h: number | null;
    peak_cooling_time: string | null;
    peak_air_c: number;
    peak_air_time: string;
    hours_too_hot_h: number;
    too_hot_kh: number;
    peak_wbgt_c: number;
    hours_above_30_wbgt_h: number;
    /// Air and vapour together.
    peak_load_w: number;
    peak_load_time: string | null;
    peak_latent_w: number;
    /// Of less than a year none.
    design_day: { total_w: number; latent_w: number; needed_capacity_w: number } | null;
    plant_to_buy_w: number;
    /// Each of them, largest first.
    plants_to_buy_w: number[];
    peak_heating_w: number;
    fan_electricity_kwh: number;
    heat_account: HeatAccount;
}

export interface Layer {
    material?: string;
    thickness_m?: number;
    conductivity_w_mk?: number;
    density_kg_m3?: number;
    specific_heat_j_kgk?: number;
    source?: string;
    resistance_m2k_w?: number;
    gap_emittance?: number;
    bridge?: string;
}

export interface Construction {
    name: string;
    on: string;
    surfaces: number;
    area_m2: number;
    /// Of shades none.
    u_value_w_m2k: number | null;
    outside_absorptance: number;
    solar_transmittance: number;
    outside_emittance: number;
    layers: Layer[];
}

export interface DefenceStage {
    added: string | null;
    treated_area_m2: number;
    cost: number;
    cooling_kwh: number;
    heating_kwh: number;
    electricity_kwh: number;
    electricity_cost: number;
    peak_cooling_w: number;
    needed_capacity_w: number;
    peak_steel_c: number | null;
    peak_steel_surface: string | null;
    peak_air_c: number | null;
    peak_air_unit: string | null;
    cladding_air: { peak_air_speed_m_s: number; peak_outlet_c: number | null; peak_carried_w: number; carried_away_kwh: number } | null;
    units: { id: string; hours_too_hot_h: number }[];
}

export interface InputRecord {
    key: string;
    value: boolean | number | string | (number | string)[];
    from: string;
    source: string;
}

export interface Summary {
    version: string;
    model: string;
    site: {
        latitude_deg: number;
        longitude_deg: number;
        elevation_m: number;
        utc_offset_h: number;
        north_deg: number;
        ground_albedo: number;
    };
    parts: string[];
    preview: boolean;
    period: {
        from: string;
        to: string;
        months_of_years: [number, number] | null;
        hours: number;
        sun_step_s: number;
        heat_step_s?: number;
        weather: string;
    };
    accuracy: { reached_percent: number; least_sure: string | null; asked_percent: number | null };
    currency?: string;
    surfaces: Surface[];
    units: Unit[];
    design_day?: { peak_dry_bulb_c: number; daily_range_k: number; dew_point_c: number; sun_of: string } | null;
    constructions?: Construction[];
    defence?: DefenceStage[];
    balance: { solar_residual: number; heat_residual?: number };
    inputs: InputRecord[];
    warnings: { code: string; text: string; where: string }[];
    cautions: string[];
}

export interface Body {
    id: string;
    path: string;
    role: string;
    part_of: string | null;
    repaired: string[];
}

interface Document {
    form: number;
    summary: Summary;
    model: { schema: string; length_unit: string; bbox_m: number[]; facets: number };
    bodies: Body[];
    scene: { ground_z_m: number } & Record<
        | "positions_m"
        | "triangles"
        | "triangle_facet"
        | "triangle_body"
        | "facet_surface"
        | "facet_covered"
        | "facet_sun_kwh_m2",
        Packed
    >;
    days: { dates: string[]; months: number[]; means_of_months: boolean; first_minute: number };
    sun: {
        azimuth_deg: Packed;
        elevation_deg: Packed;
        paths: { date: string; month: number; azimuth_deg: number[]; elevation_deg: number[] }[];
    };
    hours: { outdoor_c: Packed; surface_sun_w_m2: Packed } & Partial<
        Record<
            | "surface_outside_c"
            | "surface_inward_w"
            | "unit_cooling_w"
            | "unit_heating_w"
            | "unit_air_c"
            | "unit_free_air_c",
            Packed
        >
    >;
    months: { there: boolean[] } & Record<SunPart | SunSum, Packed>;
    treatments: {
        name: string;
        kind: string;
        cost_per_m2: number;
        fixed_cost: number;
        life_years: number;
        recoat_per_m2: number | null;
        recoat_years: number | null;
        upkeep_per_m2_year: number;
        call_out: string | null;
        call_out_cost: number;
        aged_reflectance: number | null;
        g_value: number | null;
    }[];
    masks: null | {
        azimuth_step_deg: number;
        elevation_step_deg: number;
        names: string[];
        surfaces: (Packed | null)[];
    };
    site_file: { name: string; lines: string[] };
    plan?: Plan;
}

export type SunPart = "direct_w_m2" | "sky_w_m2" | "ground_w_m2" | "bounced_w_m2";
export type SunSum = "direct_kwh_m2" | "sky_kwh_m2" | "ground_kwh_m2" | "bounced_kwh_m2";
export const sun_parts = ["direct", "sky", "ground", "bounced"] as const;

async function unpacked_bytes(packed: Packed): Promise<Uint8Array> {
    const letters = atob(packed.bytes);
    const bytes = new Uint8Array(letters.length);
    for (let i = 0; i < letters.length; ++i) bytes[i] = letters.charCodeAt(i);
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
    return new Uint8Array(await new Response(stream).arrayBuffer());
}

/// See cli/packed_numbers.hpp. Gaps are NaN.
async function numbers(packed: Packed): Promise<Float32Array> {
    const planes = await unpacked_bytes(packed);
    const n = packed.count;
    const out = new Float32Array(n);
    if (packed.form === "i16") {
        const step = packed.step ?? 1;
        let now = 0;
        for (let i = 0; i < n; ++i) {
            now = (now + planes[i]! + (planes[n + i]! << 8)) & 0xffff;
            out[i] = now === 0x8000 ? NaN : ((now << 16) >> 16) * step;
        }
    } else if (packed.form === "f32") {
        const bits = new Uint32Array(out.buffer);
        for (let i = 0; i < n; ++i)
            bits[i] = planes[i]! | (planes[n + i]! << 8) | (planes[2 * n + i]! << 16) | (planes[3 * n + i]! << 24);
    }
    return out;
}

async function whole(packed: Packed): Promise<Uint32Array> {
    const planes = await unpacked_bytes(packed);
    const n = packed.count;
    if (packed.form === "u8") return Uint32Array.from(planes);
    const out = new Uint32Array(n);
    for (let i = 0; i < n; ++i)
        out[i] = planes[i]! | (planes[n + i]! << 8) | (planes[2 * n + i]! << 16) | (planes[3 * n + i]! << 24);
    return out;
}

/// The model as it is drawn; see cli/report_scene.hpp.
export interface Scene {
    ground_z_m: number;
    positions_m: Float32Array;
    triangles: Uint32Array;
    triangle_facet: Uint32Array;
    triangle_body: Uint32Array;
    facet_surface: Uint32Array;
    facet_covered: Uint32Array;
    facet_sun_kwh_m2: Float32Array;
}

/// Numbers of every hour: [(item * days + day) * 24 + hour].
export interface Hours {
    outdoor_c: Float32Array;
    surface_sun_w_m2: Float32Array;
    surface_outside_c?: Float32Array;
    surface_inward_w?: Float32Array;
    unit_cooling_w?: Float32Array;
    unit_heating_w?: Float32Array;
    unit_air_c?: Float32Array;
    unit_free_air_c?: Float32Array;
}

export interface Run extends Omit<Document, "scene" | "hours" | "sun" | "months"> {
    scene: Scene;
    hours: Hours;
    sun: { azimuth_deg: Float32Array; elevation_deg: Float32Array; paths: Document["sun"]["paths"] };
    months: { there: boolean[] } & Record<SunPart | SunSum, Float32Array>;
    with_heat: boolean;
    ranked: boolean;
    n_days: number;
    mask_of(surface: number): Promise<Uint32Array | null>;
}

export async function read_run(text: string): Promise<Run> {
    const raw = JSON.parse(text) as Document;
    if (typeof raw !== "object" || raw === null) throw new Error("this page holds no results");
    const s = raw.scene;
    const [positions_m, triangles, triangle_facet, triangle_body, facet_surface, facet_covered, facet_sun_kwh_m2] =
        await Promise.all([
            numbers(s.positions_m),
            whole(s.triangles),
            whole(s.triangle_facet),
            whole(s.triangle_body),
            whole(s.facet_surface),
            whole(s.facet_covered),
            numbers(s.facet_sun_kwh_m2),
        ]);
    const all = async <K extends string>(from: Record<K, Packed | boolean[]>) => {
        const read = await Promise.all(
            Object.entries(from).map(async ([name, packed]) => [
                name,
                Array.isArray(packed) ? packed : await numbers(packed as Packed),
            ]),
        );
        return Object.fromEntries(read);
    };
    const [hours, months, azimuth_deg, elevation_deg] = await Promise.all([
        all(raw.hours as unknown as Record<string, Packed>),
        all(raw.months as unknown as Record<string, Packed | boolean[]>),
        numbers(raw.sun.azimuth_deg),
        numbers(raw.sun.elevation_deg),
    ]);
    if (raw.plan) {
        const ranks = ranks_alone(raw.plan);
        for (const surface of raw.summary.surfaces) surface.rank ??= ranks.get(surface.id) ?? null;
    }
    return {
        ...raw,
        scene: {
            ground_z_m: s.ground_z_m,
            positions_m,
            triangles,
            triangle_facet,
            triangle_body,
            facet_surface,
            facet_covered,
            facet_sun_kwh_m2,
        },
        hours: hours as unknown as Hours,
        months: months as Run["months"],
        sun: { azimuth_deg, elevation_deg, paths: raw.sun.paths },
        with_heat: raw.summary.parts.includes("heat"),
        ranked: raw.summary.parts.includes("ranking"),
        n_days: raw.days.dates.length,
        mask_of: async (surface) => {
            const packed = raw.masks?.surfaces[surface];
            return packed ? whole(packed) : null;
        },
    };
}

/// The model's name without its ending, with which files begin.
export function stem(run: Run): string {
    return run.summary.model.replace(/\.[^.]*$/, "");
}
