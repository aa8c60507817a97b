// Writes sun positions by an independent library as CSV: node sun_referee.mjs OUT.csv
// Azimuth and elevation are topocentric, without refraction, equator and equinox of date.
import { writeFileSync } from "node:fs";
import * as Astronomy from "astronomy-engine";

const n_places = 800;
const first_ms = Date.UTC(1950, 0, 1);
const last_ms = Date.UTC(2101, 0, 1);

// Mulberry32: a small generator that gives the same numbers everywhere.
function generator(seed) {
    let state = seed >>> 0;
    return () => {
        state = (state + 0x6d2b79f5) >>> 0;
        let t = Math.imul(state ^ (state >>> 15), state | 1);
        t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
        return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
    };
}

function row(random) {
    const utc_ms = Math.floor(first_ms + (last_ms - first_ms) * random());
    const latitude_deg = -85 + 170 * random();
    const longitude_deg = -180 + 360 * random();
    const elevation_m = 3000 * random();
    const time = Astronomy.MakeTime(new Date(utc_ms));
    const observer = new Astronomy.Observer(latitude_deg, longitude_deg, elevation_m);
    const place = Astronomy.Equator(Astronomy.Body.Sun, time, observer, true, true);
    const seen = Astronomy.Horizon(time, observer, place.ra, place.dec);
    const delta_t_s = (time.tt - time.ut) * 86400;
    return [utc_ms, latitude_deg, longitude_deg, elevation_m, delta_t_s, seen.azimuth, seen.altitude];
}

const random = generator(20031017);
const lines = ["utc_ms,latitude_deg,longitude_deg,elevation_m,delta_t_s,azimuth_deg,elevation_deg"];
for (let i = 0; i < n_places; ++i) lines.push(row(random).join(","));
writeFileSync(process.argv[2], lines.join("\n") + "\n");
