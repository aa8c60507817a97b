// Where the sun stands: directions in model axes for the picture, and days joined to smooth paths.
import type { Run } from "./data";
import { text } from "./text";

export type Direction = [number, number, number];

const radians = Math.PI / 180;

/// Letters and azimuths of the quarters.
export const compass_points = [
    [text.compass.north, 0],
    [text.compass.east, 90],
    [text.compass.south, 180],
    [text.compass.west, 270],
] as const;

/// Toward the sun in model axes: north_deg is the compass azimuth of +Y.
export function direction_of(azimuth_deg: number, elevation_deg: number, north_deg: number): Direction {
    const turn = (azimuth_deg - north_deg) * radians;
    const level = Math.cos(elevation_deg * radians);
    return [Math.sin(turn) * level, Math.cos(turn) * level, Math.sin(elevation_deg * radians)];
}

export interface SunPlace {
    hour: number;
    azimuth_deg: number;
    elevation_deg: number;
}

/// In the chosen hour; null where the sun is down.
export function sun_at(run: Run, day: number, hour: number): SunPlace | null {
    const i = day * 24 + hour;
    const elevation_deg = run.sun.elevation_deg[i];
    if (elevation_deg === undefined || !Number.isFinite(elevation_deg)) return null;
    return { hour, azimuth_deg: run.sun.azimuth_deg[i]!, elevation_deg };
}

export function suns_of_day(run: Run, day: number): SunPlace[] {
    return Array.from({ length: 24 }, (_, hour) => sun_at(run, day, hour)).filter((s) => s !== null);
}

/// Minutes after midnight at which the hour of a table begins.
export function hour_begin_min(run: Run, hour: number): number {
    return hour * 60 + run.days.first_minute;
}
