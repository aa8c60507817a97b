// model.glb of the demo: read by Khronos' own validator, and held against summary.json of the same
// run. The container and its accessors are unpacked here by the letter of the specification
// (Khronos, glTF 2.0, 2021: sections 4.4 and 3.6.2).
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import validator from "gltf-validator";

const folder = process.env.NOONSHELL_RESULTS;
const bytes = new Uint8Array(readFileSync(join(folder, "model.glb")));
const summary = JSON.parse(readFileSync(join(folder, "summary.json"), "utf8"));

function read(glb) {
    const words = new DataView(glb.buffer, glb.byteOffset, glb.byteLength);
    assert.equal(words.getUint32(0, true), 0x46546c67);
    assert.equal(words.getUint32(8, true), glb.byteLength);
    const length = words.getUint32(12, true);
    const gltf = JSON.parse(new TextDecoder().decode(glb.subarray(20, 20 + length)));
    const numbers = glb.slice(28 + length);
    const components = { SCALAR: 1, VEC3: 3, VEC4: 4 };
    const types = { 5123: Uint16Array, 5125: Uint32Array, 5126: Float32Array };
    const accessor = (n) => {
        const { bufferView, byteOffset, componentType, count, type } = gltf.accessors[n];
        return new types[componentType](numbers.buffer, gltf.bufferViews[bufferView].byteOffset + byteOffset, count * components[type]);
    };
    return { gltf, accessor };
}
const { gltf, accessor } = read(bytes);

function triangles(node) {
    const [{ attributes, indices }] = gltf.meshes[node.mesh].primitives;
    const place = accessor(attributes.POSITION);
    const colour = accessor(attributes.COLOR_0);
    const corners = accessor(indices);
    return Array.from({ length: corners.length / 3 }, (_, t) => {
        const [a, b, c] = [0, 1, 2].map((k) => place.subarray(3 * corners[3 * t + k], 3 * corners[3 * t + k] + 3));
        const u = b.map((v, i) => v - a[i]);
        const v = c.map((w, i) => w - a[i]);
        const across = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
        const rgb = Array.from(colour.subarray(4 * corners[3 * t], 4 * corners[3 * t] + 3), (x) => x / 65535);
        return { area: Math.hypot(...across) / 2, across, middle: a.map((x, i) => (x + b[i] + c[i]) / 3), rgb };
    });
}
const node_of = new Map(gltf.nodes.filter((n) => n.extras?.id).map((n) => [n.extras.id, n]));

test("the Khronos validator finds no error and no warning", async () => {
    const { issues, info } = await validator.validateBytes(bytes, { maxIssues: 20 });
    assert.equal(issues.numErrors, 0, JSON.stringify(issues.messages, null, 1));
    assert.equal(issues.numWarnings, 0, JSON.stringify(issues.messages, null, 1));
    assert.equal(info.version, "2.0");
    assert.ok(info.totalTriangleCount > 1000, `${info.totalTriangleCount} triangles`);
});

test("every surface stands in it with its figures, its area, its side and its place", () => {
    assert.equal(node_of.size, summary.surfaces.length);
    const [dx, dy, dz] = gltf.nodes[gltf.scenes[0].nodes[0]].translation;
    for (const told of summary.surfaces) {
        const { extras, name, mesh } = node_of.get(told.id);
        assert.equal(name, told.id);
        assert.equal(extras.unit, told.unit);
        for (const [key, value] of Object.entries({
            area_m2: told.area_m2,
            sun_kwh_m2: told.sun.total_kwh_m2,
            direct_kwh_m2: told.sun.direct_kwh_m2,
            rank: told.rank ?? undefined,
            peak_outside_c: told.heat.peak_outside_c ?? undefined,
            inward_kwh: told.heat.inward_kwh ?? undefined,
        }))
            assert.equal(extras[key], value, `${told.id} ${key}`);
        const all = triangles({ mesh });
        const area = all.reduce((sum, t) => sum + t.area, 0);
        assert.ok(Math.abs(area - told.area_m2) < 1e-4 * told.area_m2, `${told.id}: ${area} m2 for ${told.area_m2}`);
        // The model's x, y, z (Z up) are x, -z, y of the file (Y up).
        const outward = [0, 1, 2].map((i) => all.reduce((sum, t) => sum + t.across[i], 0) / 2 / area);
        const [nx, ny, nz] = told.normal;
        [nx, nz, -ny].forEach((n, i) => assert.ok(Math.abs(outward[i] - n) < 1e-3, `${told.id} faces ${outward}`));
        const middle = [0, 1, 2].map((i) => all.reduce((sum, t) => sum + t.area * t.middle[i], 0) / area);
        const [cx, cy, cz] = told.centroid_m;
        [cx - dx, cz - dy, -cy - dz].forEach((c, i) => assert.ok(Math.abs(middle[i] - c) < 1e-3, `${told.id} at ${middle}`));
    }
});

// CIE 15: lightness from luminance; the scale's lightness runs evenly from 25 to 88. Between the ends
// the mean of the facets' lightness is therefore that of the surface's sun.
test("colours follow the sun", () => {
    const lightness = ([r, g, b]) => {
        const y = 0.2126 * r + 0.7152 * g + 0.0722 * b;
        return 116 * (y > (6 / 29) ** 3 ? Math.cbrt(y) : y / (3 * (6 / 29) ** 2) + 4 / 29) - 16;
    };
    const open = summary.surfaces.filter((s) => s.exposed_area_m2 > 0);
    const { dark_kwh_m2, light_kwh_m2 } = gltf.scenes[0].extras;
    assert.equal(dark_kwh_m2, Math.min(...open.map((s) => s.sun.total_kwh_m2)));
    assert.equal(light_kwh_m2, Math.max(...open.map((s) => s.sun.total_kwh_m2)));
    let compared = 0;
    for (const told of open.filter((s) => s.exposed_area_m2 > 0.999 * s.area_m2)) {
        const all = triangles(node_of.get(told.id));
        const seen = all.reduce((sum, t) => sum + t.area * lightness(t.rgb), 0) / all.reduce((sum, t) => sum + t.area, 0);
        const due = 25 + (63 * (told.sun.total_kwh_m2 - dark_kwh_m2)) / (light_kwh_m2 - dark_kwh_m2);
        assert.ok(Math.abs(seen - due) < 1, `${told.id}: lightness ${seen} for ${due}`);
        ++compared;
    }
    assert.ok(compared > 20, `${compared} surfaces`);
});

test("a file with a fault is refused by the validator", async () => {
    const broken = bytes.slice();
    broken[12] ^= 4; // the length of the first chunk
    const { issues } = await validator.validateBytes(broken);
    assert.ok(issues.numErrors > 0);
});
