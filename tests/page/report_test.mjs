// The report of the demo, as a reader meets it: node --test report_test.mjs, with the folder of the
// run's results in NOONSHELL_RESULTS. Numbers are held against summary.json of the same run, access
// against the rules of axe-core (WCAG 2), the rest against what the page promises.
import assert from "node:assert/strict";
import { readFileSync, statSync } from "node:fs";
import { createRequire } from "node:module";
import { cpus, loadavg } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { launch, open_report, settled } from "./browser.mjs";

const folder = process.env.NOONSHELL_RESULTS;
const file = join(folder, "report.html");
const summary = JSON.parse(readFileSync(join(folder, "summary.json"), "utf8"));
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

let browser;
let opened;
before(async () => {
    browser = await launch();
    opened = await open_report(browser, file);
});
after(() => browser?.close());

const lookup = (from, path) => path.split(".").reduce((value, key) => value?.[key], from);
const shown_number = (text) => Number(text.replaceAll(",", "").replace("\u2212", "-"));

/// What the model's canvas shows, coarse: colours by place.
const picture = (page) =>
    page.evaluate(() => {
        const canvas = document.querySelector(".canvas canvas");
        const small = document.createElement("canvas");
        small.width = 200;
        small.height = 140;
        const pen = small.getContext("2d", { willReadFrequently: true });
        pen.drawImage(canvas, 0, 0, small.width, small.height);
        const data = pen.getImageData(0, 0, small.width, small.height).data;
        const words = new Uint32Array(data.buffer);
        return { colours: new Set(words).size, text: String.fromCharCode(...data.filter((_, i) => i % 4 === 0 && i % 16 === 0)) };
    });

test("is one file of less than 6 MB", () => {
    assert.ok(statSync(file).size < 6e6, `${statSync(file).size} bytes`);
});

test("is ready within 2 s", async () => {
    // Whatever else the machine is doing only makes it later: the least of several counts, and where
    // more runs than there are processors, each has its share of them alone.
    const limit_ms = () => 2000 * Math.max(1, loadavg()[0] / cpus().length);
    let least = opened.ready_ms;
    for (let more = 0; more < 4 && least > limit_ms(); ++more) {
        const again = await open_report(browser, file);
        least = Math.min(least, again.ready_ms);
        await again.context.close();
    }
    assert.ok(least < limit_ms(), `${least} ms with a limit of ${limit_ms()}`);
});

test("every surface's card shows the numbers of summary.json", async () => {
    const { page } = opened;
    for (const [index, surface] of summary.surfaces.entries()) {
        await page.selectOption("#surface-choice", String(index));
        const told = await page.$$eval(".card [data-key]", (spans) =>
            spans.map((span) => [span.dataset.key, span.textContent, span.dataset.digits]),
        );
        assert.equal(await page.textContent(".card h3"), surface.id);
        assert.ok(told.length >= 10, `${surface.id}: ${told.length} numbers`);
        for (const [key, text, digits] of told) {
            const value = lookup(surface, key);
            if (value === null || value === undefined) {
                assert.equal(text, "–", `${surface.id} ${key}`);
                continue;
            }
            const half = 0.5 * 10 ** -Number(digits ?? 3);
            assert.ok(Math.abs(shown_number(text) - value) <= half * 1.000001, `${surface.id} ${key}: ${text} for ${value}`);
        }
    }
});

test("a click on a surface in the picture chooses it", async () => {
    const { page } = opened;
    await page.locator(".canvas canvas").scrollIntoViewIfNeeded();
    let clicked = 0;
    for (const [index, surface] of summary.surfaces.entries()) {
        const at = await page.evaluate((n) => window.report.view.place_of(n), index);
        if (!at) continue;
        // What lies over the picture, such as the legend, takes no clicks.
        await page.mouse.click(at.x, at.y);
        assert.equal(await page.getAttribute(".card", "data-surface"), surface.id);
        ++clicked;
    }
    assert.ok(clicked >= 10, `${clicked} surfaces in sight`);
});

test("the picture is not blank and follows the hour, the day and the paint", async () => {
    const { page } = opened;
    const first = await picture(page);
    assert.ok(first.colours > 50, `${first.colours} colours`);
    let last = first;
    for (const [id, key] of [
        ["hour", "ArrowLeft"],
        ["hour", "ArrowLeft"],
        ["day", "PageUp"],
    ]) {
        await page.locator(`.slider input[id^=${id}]`).press(key);
        await settled(page);
        const next = await picture(page);
        assert.notEqual(next.text, last.text, `${id} ${key}`);
        last = next;
    }
    for (const paint of ["outside", "inward", "rank", "sun_period"]) {
        await page.locator(`input[type=radio][value=${paint}]`).check({ force: true });
        await settled(page);
        const next = await picture(page);
        assert.notEqual(next.text, last.text, paint);
        last = next;
    }
});

test("colours follow at once when the sun's light goes out", async () => {
    const { page } = opened;
    const canvas = page.locator(".canvas canvas");
    const seen = async () => (await canvas.screenshot()).toString("base64");
    for (const [lit, unlit] of [["inward", "rank"], ["outside", "sun_period"]]) {
        await page.locator(`input[type=radio][value=${lit}]`).check({ force: true });
        await settled(page);
        await page.locator(`input[type=radio][value=${unlit}]`).check({ force: true });
        await settled(page);
        const at_once = await seen();
        await page.evaluate(() => window.report.view.draw());
        await settled(page);
        assert.ok((await seen()) === at_once, `${lit} to ${unlit}`);
    }
});

test("a view that moves too slowly is drawn coarser until it rests, and the page says why", async () => {
    const { context, page } = await open_report(browser, file);
    const width = () => page.evaluate(() => document.querySelector(".canvas canvas").width);
    const full = await width();
    const note = page.locator(".under .note").nth(1);
    assert.equal(await note.isVisible(), false);
    // Pictures that take 50 ms each, on whatever machine.
    const least = await page.evaluate(async () => {
        const canvas = document.querySelector(".canvas canvas");
        let least = canvas.width;
        for (let n = 0; n < 20; ++n) {
            canvas.dispatchEvent(new KeyboardEvent("keydown", { key: "ArrowLeft", bubbles: true, cancelable: true }));
            const end = performance.now() + 50;
            while (performance.now() < end);
            await new Promise((done) => requestAnimationFrame(done));
            least = Math.min(least, canvas.width);
        }
        return least;
    });
    assert.ok(least < 0.8 * full, `${least} of ${full}`);
    await settled(page);
    assert.equal(await width(), full);
    // Chromium is told to draw by the processor here.
    assert.match(await note.textContent(), /without a graphics card/);
    await context.close();
});

test("shadows take four looks into their map, not the library's seventeen", async () => {
    const { page } = opened;
    await page.locator("input[type=radio][value=sun_hour]").check({ force: true });
    await settled(page);
    const sources = await page.evaluate(() => {
        const { renderer } = window.report.view;
        return renderer.info.programs.map((p) => renderer.getContext().getShaderSource(p.fragmentShader));
    });
    const with_shadow = sources.filter((source) => source?.includes("getShadow( directionalShadowMap["));
    assert.ok(with_shadow.length > 0);
    for (const source of with_shadow) {
        assert.ok(!source.includes("1.0 / 17.0"));
        assert.match(source, /receiveShadow && dot\( geometryNormal, directLight\.direction \) > 0\.0/);
    }
});

test("bodies can be hidden and shown again", async () => {
    const { page } = opened;
    const whole = await picture(page);
    await page.locator(".under summary").click();
    await page.locator(".bodies button").first().click();
    await settled(page);
    assert.notEqual((await picture(page)).text, whole.text);
    assert.equal(await page.locator(".bodies input:checked").count(), 1);
    await page.getByRole("button", { name: "Show all", exact: true }).click();
    await settled(page);
    assert.equal((await picture(page)).text, whole.text);
});

test("a hidden surface is not outlined in the air", async () => {
    const { page } = opened;
    const outlined = () => page.evaluate(() => window.report.view.chosen.visible);
    const body = await page.evaluate(() => window.report.run.summary.units[0].id);
    await page.evaluate((name) => {
        const { state, run } = window.report;
        state.set({ surface: run.summary.surfaces.findIndex((s) => s.unit === name) });
    }, body);
    assert.equal(await outlined(), true);
    await page.evaluate((name) => window.report.state.set({ hidden: new Set([name]) }), body);
    assert.equal(await outlined(), false);
    await page.evaluate(() => window.report.state.set({ hidden: new Set() }));
    assert.equal(await outlined(), true);
});

test("the table sorts, filters and downloads", async () => {
    const { page } = opened;
    const section = page.locator("#surfaces");
    const sun = await section.locator("thead button").filter({ hasText: /^Sun/ });
    await sun.click();
    const first = await section.locator("tbody tr").first().locator("button.name").textContent();
    const sunniest = summary.surfaces.reduce((a, b) => (b.sun.total_kwh_m2 > a.sun.total_kwh_m2 ? b : a));
    assert.equal(first, sunniest.id);
    await section.locator("input[type=search]").fill("roof");
    const names = await section.locator("tbody tr button.name").allTextContents();
    assert.ok(names.length > 0 && names.every((name) => name.includes("roof")));
    const [download] = await Promise.all([
        page.waitForEvent("download"),
        section.getByRole("button", { name: "Download CSV" }).click(),
    ]);
    const lines = readFileSync(await download.path(), "utf8").trim().split("\r\n");
    const roofs = summary.surfaces.filter((s) => s.id.includes("roof"));
    assert.equal(lines.length, roofs.length + 1);
    const columns = lines[0].replace("\ufeff", "").split(",");
    const row = lines[1].split(",");
    const roof = roofs.find((s) => s.id === row[columns.indexOf("Surface")]);
    assert.ok(Math.abs(Number(row[columns.indexOf("Sun [kWh/m²]")]) - roof.sun.total_kwh_m2) < 1e-3);
    await section.locator("input[type=search]").fill("");
});

// 1 m2 = 10.7639 ft2, 1 W = 3.41214 BTU/h: NIST SP 811 (2008), appendix B.
test("units of the United States by a switch", async () => {
    const { page } = opened;
    await page.selectOption("#surface-choice", "0");
    await page.locator("input[type=radio][value=us]").check({ force: true });
    const told = async (key) => shown_number(await page.textContent(`.card [data-key="${key}"]`));
    const { area_m2, heat } = summary.surfaces[0];
    assert.ok(Math.abs((await told("area_m2")) - area_m2 * 10.7639) < 0.06);
    assert.ok(Math.abs((await told("heat.peak_outside_c")) - (heat.peak_outside_c * 1.8 + 32)) < 0.06);
    assert.ok(Math.abs((await told("heat.peak_inward_w")) - heat.peak_inward_w * 3.41214) < 0.6);
    // 1 kWh is 3.412 kBTU: NIST SP 811 (2008), appendix B.
    const first = summary.surfaces.find((s) => s.rank === 1);
    const per_cost = Math.max(...first.treatments.map((t) => t.saves_kwh_per_cost));
    const heads = await page.locator("#surfaces thead th").allTextContents();
    assert.ok(heads.at(-1).includes(`kBTU / ${summary.currency}`), heads.at(-1));
    await page.locator("#surfaces thead button").first().click(); // by rank
    const row = await page.locator("#surfaces tbody tr").first().locator("td").allTextContents();
    assert.equal(row[1], first.id);
    assert.ok(Math.abs(Number(row.at(-1)) - 3.41214 * per_cost) < 0.006, row.at(-1));
    assert.ok((await page.textContent(".masthead")).includes("ft above the sea"));
    await page.locator("input[type=radio][value=metric]").check({ force: true });
    assert.ok(Math.abs((await told("area_m2")) - area_m2) < 0.06);
});

test("everything is reached by the keyboard alone", async () => {
    const { context, page } = await open_report(browser, file);
    const reached = new Set();
    for (let n = 0; n < 2000; ++n) {
        await page.keyboard.press("Tab");
        const seen = await page.evaluate(() => {
            const now = document.activeElement;
            if (!now || now === document.body) return null;
            now.dataset.walked ??= String(document.querySelectorAll("[data-walked]").length);
            const outlined = getComputedStyle(now).outlineStyle !== "none" || now.matches(".choices input, .skip");
            return { number: now.dataset.walked, outlined, what: now.outerHTML.slice(0, 120) };
        });
        if (!seen) break;
        assert.ok(seen.outlined, `no mark of focus: ${seen.what}`);
        reached.add(seen.number);
    }
    const missed = await page.$$eval("a[href], button, input, select, summary, canvas[tabindex]", (all) =>
        all
            .filter((e) => e.checkVisibility() && !e.disabled && !("walked" in e.dataset))
            // Of a group of radio buttons only the chosen one is a stop; arrows reach the rest.
            .filter((e) => e.type !== "radio" || e.checked)
            .map((e) => e.outerHTML.slice(0, 120)),
    );
    assert.deepEqual(missed, []);
    assert.ok(reached.size > 40, `${reached.size} stops`);

    const canvas = page.locator(".canvas canvas");
    await canvas.focus();
    const from = await picture(page);
    for (const key of ["ArrowLeft", "+", "Shift+ArrowUp"]) {
        await page.keyboard.press(key);
        await settled(page);
        assert.notEqual((await picture(page)).text, from.text, key);
    }
    await page.keyboard.press("Home");
    await settled(page);
    assert.equal((await picture(page)).text, from.text);
    await page.locator("#surfaces button.name").nth(3).press("Enter");
    assert.equal(
        await page.getAttribute(".card", "data-surface"),
        await page.locator("#surfaces button.name").nth(3).textContent(),
    );
    await context.close();
});

test("warnings, cautions, sources and the site file stand in it", async () => {
    const { page } = opened;
    const text = await page.textContent("#method");
    for (const caution of summary.cautions) assert.ok(text.includes(caution), caution);
    for (const warning of summary.warnings) assert.ok(text.includes(warning.text), warning.code);
    assert.ok(text.includes("[[construction]]"), "the site file");
    for (const input of summary.inputs.slice(0, 10)) assert.ok(text.includes(input.source), input.key);
    assert.ok((await page.textContent("footer")).includes(summary.version));
});

test("constructions, plant sizes, heat stress and the air behind claddings stand in it", async () => {
    const { page } = opened;
    const rows = (caption) =>
        page.evaluate(
            (name) =>
                [...document.querySelectorAll("table")]
                    .filter((t) => t.caption?.textContent === name)
                    .flatMap((t) => [...t.tBodies].flatMap((b) => [...b.rows].map((r) => [...r.cells].map((c) => c.textContent)))),
            caption,
        );
    const near = (shown, value, half, what) =>
        assert.ok(Math.abs(shown_number(shown) - value) <= half * 1.0001, `${what}: ${shown} for ${value}`);
    const made = await rows("Constructions");
    assert.equal(made.length, summary.constructions.length);
    summary.constructions.forEach((c, n) => {
        assert.equal(made[n][0], c.name);
        if (c.u_value_w_m2k !== null) near(made[n][4], c.u_value_w_m2k, 0.005, c.name);
        for (const layer of c.layers) if (layer.material) assert.ok(made[n][8].includes(layer.material), c.name);
    });
    const sources = (await rows("Materials")).map((r) => r.at(-1));
    for (const layer of summary.constructions.flatMap((c) => c.layers))
        if (layer.source) assert.ok(sources.includes(layer.source), layer.source);
    // What goes into every room and out of it, to the last cell but stored, adds up to that.
    const accounts = await rows("Where the heat comes from");
    assert.equal(accounts.length, summary.units.length);
    summary.units.forEach((u, n) => {
        const told = accounts[n].slice(1, 13).map(shown_number);
        const sum = told.slice(0, 11).reduce((a, b) => a + b, 0);
        near(accounts[n][12], sum, 0.5 * 12, `${u.id}, stored`);
        near(accounts[n][11], u.heat_account.cooling_kwh, 0.5, `${u.id}, cooling`);
        near(accounts[n][13], u.peak_heating_w / 1000, 0.005, `${u.id}, heating at its peak`);
    });
    const plants = await rows("Plant sizes");
    const uncooled = await rows("Without cooling");
    assert.equal(plants.length, summary.units.length);
    summary.units.forEach((u, n) => {
        assert.equal(plants[n][0], u.id);
        near(plants[n][1], u.peak_load_w / 1000, 0.005, u.id);
        near(plants[n][3], u.needed_capacity_w / 1000, 0.005, u.id);
        near(plants[n][6], u.design_day.needed_capacity_w / 1000, 0.005, u.id);
        near(plants[n][7], u.plant_to_buy_w / 1000, 0.05, u.id);
        near(uncooled[n][5], u.peak_wbgt_c, 0.05, u.id);
        near(uncooled[n][6], u.hours_above_30_wbgt_h, 0.5, u.id);
    });
    const air = summary.defence.at(-1).cladding_air;
    const told = (await page.textContent("#defence")).match(/up to ([\d.,]+)\sm\/s/);
    near(told[1], air.peak_air_speed_m_s, 0.005, "speed behind the cladding");
    const carried = (await page.textContent("#defence")).match(/carries up to ([\d.,]+)\sW/);
    near(carried[1], air.peak_carried_w, 0.5, "heat carried behind the cladding");
});

for (const scheme of ["light", "dark"]) {
    test(`axe-core finds nothing serious, ${scheme}`, async () => {
        // The rules run as a script of the page's, which its own policy would refuse.
        const { context, page } = await open_report(browser, file, { colorScheme: scheme, bypassCSP: true });
        assert.equal(await page.getAttribute("html", "data-theme"), scheme);
        // All folds but the numbers of plots: those are alike, and some have a row for every day.
        await page.evaluate(() =>
            document.querySelectorAll("details").forEach((d, n) => (d.open = n < 3 || !d.closest("figure"))),
        );
        await page.evaluate(axe);
        const { violations } = await page.evaluate(() => axe.run());
        assert.deepEqual(
            violations
                .filter((v) => v.impact === "serious" || v.impact === "critical")
                .map((v) => `${v.id}: ${v.nodes.map((n) => n.target.join(" ")).join(", ")}`),
            [],
        );
        await context.close();
    });
}

test("fits a narrow screen and keeps still where motion is unwanted", async () => {
    const { context, page } = await open_report(browser, file, {
        viewport: { width: 420, height: 800 },
        reducedMotion: "reduce",
    });
    assert.ok((await page.evaluate(() => document.documentElement.scrollWidth)) <= 420);
    assert.equal(await page.evaluate(() => getComputedStyle(document.documentElement).scrollBehavior), "auto");
    await context.close();
});

// Browsers make all smaller where something is wider than the paper: A4 less its margins, in CSS pixels.
test("nothing is wider than the paper", async () => {
    const { context, page } = await open_report(browser, file, { viewport: { width: 695, height: 1000 } });
    await page.emulateMedia({ media: "print" });
    await page.evaluate(() => window.dispatchEvent(new Event("beforeprint")));
    await settled(page);
    assert.ok((await page.evaluate(() => document.documentElement.scrollWidth)) <= 1.02 * 695);
    await context.close();
});

for (const format of ["A4", "Letter"]) {
    test(`prints on 3 to 8 pages of ${format}`, async () => {
        const { context, page } = await open_report(browser, file, { colorScheme: "dark" });
        // Plots are drawn anew in the colours of paper before the printer takes them.
        await page.waitForSelector(".sky-diagram");
        const drawn = await page.evaluate(() => {
            window.dispatchEvent(new Event("beforeprint"));
            const count = (what) => document.querySelectorAll(what).length;
            const now = [count(".plot"), count(".plot canvas"), count(".sky-diagram"), document.documentElement.dataset.theme];
            window.dispatchEvent(new Event("afterprint"));
            return now;
        });
        assert.ok(drawn[0] >= 5, `${drawn[0]} plots`);
        assert.deepEqual(drawn.slice(1), [drawn[0], 1, "light"]);
        const pdf = (await page.pdf({ format, printBackground: true })).toString("latin1");
        const pages = pdf.match(/\/Type\s*\/Page\b(?!s)/g)?.length ?? 0;
        assert.ok(pages >= 3 && pages <= 8, `${pages} pages`);
        await context.close();
    });
}

test("asked for nothing and said nothing", () => {
    assert.deepEqual(opened.requests, []);
    assert.deepEqual(opened.messages, []);
});
