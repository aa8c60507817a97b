// The documents that the program writes, held against their JSON Schemas (draft 2020-12) by ajv; and
// documents with a fault, which the schemas must refuse.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, test } from "node:test";
import Ajv from "ajv/dist/2020.js";

const { NOONSHELL_PROGRAM, NOONSHELL_MODELS, NOONSHELL_RESULTS, NOONSHELL_SCHEMAS } = process.env;
const folder = mkdtempSync(join(tmpdir(), "noonshell-schemas-"));
after(() => rmSync(folder, { recursive: true }));
const model = join(NOONSHELL_MODELS, "station.step");

const ajv = new Ajv({ strict: true, allErrors: true, allowUnionTypes: true });
const schemas = Object.fromEntries(
    ["summary", "plan", "inspection"].map((name) => [
        name,
        JSON.parse(readFileSync(join(NOONSHELL_SCHEMAS, `${name}.schema.json`), "utf8")),
    ]),
);
const checks = Object.fromEntries(Object.entries(schemas).map(([name, schema]) => [name, ajv.compile(schema)]));

function fits(name, document) {
    const good = checks[name](document);
    assert.ok(good, JSON.stringify((checks[name].errors ?? []).slice(0, 5), null, 1));
}
const refuses = (name, document) => assert.equal(checks[name](document), false);

function output(...options) {
    return JSON.parse(execFileSync(NOONSHELL_PROGRAM, options, { encoding: "utf8", maxBuffer: 1 << 28 }));
}
function site(more = "") {
    const file = join(folder, "site.toml");
    writeFileSync(
        file,
        `[site]\nlatitude_deg = 27\nlongitude_deg = 30\ntime_zone = "Africa/Cairo"\n[model]\nfile = "${model}"\nfacet_size_m = 2\n` +
            `[weather.design_day]\npeak_dry_bulb_c = 42\n[run]\nsun_step_min = 60\npoints_per_facet = 2\nrays_per_facet = 64\n${more}`,
    );
    return file;
}
const run = (...options) => output("run", site(), "--json", "--quiet", "--out", join(folder, "out"), ...options);

const demo = JSON.parse(readFileSync(join(NOONSHELL_RESULTS, "summary.json"), "utf8"));
const inspected = output("inspect", model, "--json");

test("summary.json of the demo, of the sun alone and of a preview", () => {
    fits("summary", demo);
    fits("summary", run("--only", "sun"));
    fits("summary", run("--fast"));
    fits("summary", run("--accuracy", "20%", "--only", "sun"));
});

test("inspect --json, against an earlier version too", () => {
    fits("inspection", inspected);
    fits("inspection", output("inspect", model, "--json", "--against", model));
});

for (const goal of ["cooling_energy", "running_cost", "peak_load", "present_value", "too_hot"]) {
    test(`plan.json for ${goal}`, () => {
        const file = site('[[treatment]]\nname = "white"\nkind = "coating"\nsurfaces = ["bunk-1/*"]\ncost_per_m2 = 10\nnew_reflectance = 0.8\naged_reflectance = 0.6\n');
        const plan = output("plan", file, "--budget", "300", "--goal", goal, "--json", "--quiet", "--fast", "--out", join(folder, "plan"));
        fits("plan", plan);
        assert.ok(plan.candidates.length > 0);
        refuses("plan", { ...plan, spent: -1 });
        refuses("plan", { ...plan, goal: "beauty" });
        refuses("plan", { ...plan, more: 1 });
    });
}

test("plan.json with shades", () => {
    const file = site('[[planned_shade]]\nname = "brow"\nkind = "roof"\nover = ["office"]\nreach_m = [0.5, 1]\nsizes = 2\ncost_per_m2 = 0.1\n');
    const plan = output("plan", file, "--budget", "300", "--json", "--quiet", "--fast", "--out", join(folder, "shaded"));
    fits("plan", plan);
    assert.ok(plan.chosen.some((item) => item.shade));
});

test("documents with a fault are refused", () => {
    const changed = (document, change) => {
        const copy = structuredClone(document);
        change(copy);
        return copy;
    };
    refuses("summary", changed(demo, (d) => delete d.surfaces[0].sun.total_kwh_m2));
    refuses("summary", changed(demo, (d) => (d.surfaces[3].sun.direct_kwh_m2 = "much")));
    refuses("summary", changed(demo, (d) => (d.surfaces[0].colour = "blue")));
    refuses("summary", changed(demo, (d) => (d.surfaces[0].tilt_deg = 181)));
    refuses("summary", changed(demo, (d) => (d.surfaces[0].rank = 0)));
    refuses("summary", changed(demo, (d) => (d.period.from = "yesterday")));
    refuses("summary", changed(demo, (d) => d.parts.push("sound")));
    refuses("inspection", changed(inspected, (d) => d.bbox_m.pop()));
    refuses("inspection", changed(inspected, (d) => (d.bodies[0].role = "boat")));
    refuses("inspection", changed(inspected, (d) => delete d.warnings));
    refuses("inspection", demo);
});

// Every object of a schema is closed, and every property says what it is; numbers with their unit.
test("every property is described, with the unit that its key ends in", () => {
    let properties = 0;
    const walk = (schema, where) => {
        if (schema.type === "object") assert.equal(schema.additionalProperties, false, where);
        for (const [key, part] of Object.entries(schema.properties ?? {})) {
            ++properties;
            const at = `${where}.${key}`;
            assert.ok(part.description?.length > 1, at);
            const measured = /_(kwh|m2|m3|w|c|k|kh|h|s|m|deg|cost|percent)$/.test(key);
            if (measured) assert.match(part.description, /\[.+\]/, at);
            walk(part, at);
        }
        if (schema.items) walk(schema.items, `${where}[]`);
    };
    for (const [name, schema] of Object.entries(schemas)) walk(schema, name);
    assert.ok(properties > 200);
});
