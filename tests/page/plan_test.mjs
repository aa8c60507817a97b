// The report of a plan: the page against plan.json of the same run, the frontier by keyboard and mouse,
// the finishes painted on the model, hostile names and access (axe-core, WCAG 2). Three units of
// the demo on one design day.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { launch, open_report } from "./browser.mjs";

const hostile = "<b onclick=alert(1)>white</b> coat";
const site = `
[site]
latitude_deg = 27.4
longitude_deg = 29.6
time_zone = "Africa/Cairo"
north_deg = 14.0
[model]
file = "station.step"
units = ["bunk-1", "bunk-2", "clinic"]
ignores = ["mess", "kitchen", "store", "workshop", "lab-*", "office", "bridge", "bunk-3", "canopy-*", "overhang", "fin"]
[weather.design_day]
peak_dry_bulb_c = 42
[[treatment]]
name = "${hostile}"
kind = "coating"
surfaces = ["*/roof*", "*/wall*"]
cost_per_m2 = 14
fixed_cost = 30
aged_reflectance = 0.62
[[treatment]]
name = "insulation"
kind = "outside insulation"
surfaces = ["*/roof*"]
cost_per_m2 = 62
aged_reflectance = 0.45
layers = [{ material = "pir", thickness_mm = 60 }]
[plan]
currency = "credits"
`;
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

let folder;
let file;
let plan;
let browser;
let opened;
before(async () => {
    folder = mkdtempSync(join(tmpdir(), "report-plan-"));
    copyFileSync(join(process.env.NOONSHELL_MODELS, "station.step"), join(folder, "station.step"));
    writeFileSync(join(folder, "site.toml"), site);
    execFileSync(process.env.NOONSHELL_PROGRAM, ["plan", join(folder, "site.toml"), "--budget", "1500", "--out", join(folder, "out"), "--fast", "--quiet"]);
    file = join(folder, "out", "plan.html");
    plan = JSON.parse(readFileSync(join(folder, "out", "plan.json"), "utf8"));
    browser = await launch();
    opened = await open_report(browser, file);
});
after(async () => {
    await browser?.close();
    rmSync(folder, { recursive: true });
});

const shown = (value, digits = 0) => value.toLocaleString("en-US", { minimumFractionDigits: digits, maximumFractionDigits: digits });
/// Decimals of a column: three digits of its largest number.
const decimals = (values) => {
    const most = Math.max(...values.map(Math.abs));
    return most >= 100 ? 0 : most >= 10 ? 1 : 2;
};
const own = () => plan.frontier.findIndex((point) => point.budget === plan.budget);
const slider = (page) => page.locator("#plan input[type=range]");
const settled = (page) => page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
const told = (page) => page.locator("#plan .told dd").allTextContents();
const picture = (page) =>
    page.evaluate(() => {
        const small = document.createElement("canvas");
        [small.width, small.height] = [120, 80];
        const pen = small.getContext("2d", { willReadFrequently: true });
        pen.drawImage(document.querySelector(".canvas canvas"), 0, 0, 120, 80);
        return pen.getImageData(0, 0, 120, 80).data.join();
    });

test("there is something to look at", () => {
    assert.ok(plan.chosen.length > 2, `${plan.chosen.length} purchases`);
    assert.ok(own() >= 0);
    const bought = plan.frontier[own()].candidates.map((c) => plan.candidates[c]);
    assert.deepEqual(bought.map((c) => `${c.surface}: ${c.treatment}`).sort(), plan.chosen.map((c) => `${c.surface}: ${c.treatment}`).sort());
    const cost = bought.flatMap((c) => c.treatment_costs).reduce((sum, c) => sum + c, 0);
    assert.ok(Math.abs(cost - plan.spent) < 1e-6 * plan.spent, `${cost} of ${plan.spent}`);
});

test("the purchases stand in order with the numbers of plan.json", async () => {
    const { page } = opened;
    const rows = await page.locator("#plan .table").first().locator("tbody tr").all();
    assert.equal(rows.length, plan.chosen.length);
    for (const [n, row] of rows.entries()) {
        const cells = await row.locator("td").allTextContents();
        const item = plan.chosen[n];
        assert.deepEqual(cells, [
            String(n + 1),
            item.surface,
            item.treatment,
            shown(item.area_m2, 1),
            shown(item.cost),
            shown(item.cost_so_far),
            shown(item.saves_kwh, decimals(plan.chosen.map((c) => c.saves_kwh))),
            shown(item.saves_peak_w / 1000, 2),
            shown(item.saves_running_cost, decimals(plan.chosen.map((c) => c.saves_running_cost))),
            item.why,
        ]);
    }
    assert.ok((await page.textContent("#findings")).includes(`${shown(plan.spent)} credits`));
});

test("names that look like markup show as text", async () => {
    const { page } = opened;
    assert.equal(await page.locator("#plan td b, .legend b, .lead b[onclick]").count(), 0);
    assert.ok((await page.textContent("#plan")).includes(hostile));
    assert.ok((await page.textContent(".legend")).includes(hostile));
});

test("another budget is chosen by keys and by a click, and the model follows", async () => {
    const { page } = opened;
    await page.locator("input[type=radio][value=finish]").check({ force: true });
    await settled(page);
    const at_own = await picture(page);
    await slider(page).press("Home");
    await settled(page);
    assert.deepEqual((await told(page)).slice(0, 2), ["0 credits", "0"]);
    assert.notEqual(await picture(page), at_own);
    for (const [n, point] of plan.frontier.entries()) {
        const [spent, surfaces, left] = await told(page);
        assert.equal(spent, `${shown(point.cost)} credits`);
        assert.equal(surfaces, String(point.candidates.length));
        assert.equal(left, `${shown(point.cooling_kwh)}\u00a0kWh`);
        assert.ok((await slider(page).getAttribute("aria-valuetext")).startsWith(`${shown(point.budget)} credits`));
        if (n !== own() && point.candidates.length > 0) {
            const names = await page.locator("#plan .table").first().locator("tbody td:first-child").allTextContents();
            const bought = point.candidates.map((c) => plan.candidates[c].surface);
            // The first rows of a long list.
            assert.equal(names.length, Math.min(25, bought.length));
            assert.ok(names.every((name) => bought.includes(name)), names.join());
        }
        await slider(page).press("ArrowRight");
    }
    await page.locator("#plan circle.target").first().click();
    assert.deepEqual((await told(page)).slice(0, 2), ["0 credits", "0"]);
    await page.locator("#plan button", { hasText: "Back to the budget" }).click();
    await settled(page);
    assert.equal((await told(page))[0], `${shown(plan.spent)} credits`);
    assert.equal(await picture(page), at_own);
});

test("rooms before and after are those of plan.json", async () => {
    const { page } = opened;
    const rows = await page.locator("#plan .table").last().locator("tbody tr").all();
    assert.equal(rows.length, plan.before.units.length);
    for (const [n, row] of rows.entries()) {
        const cells = await row.locator("td").allTextContents();
        assert.equal(cells[0], plan.before.units[n].id);
        assert.equal(cells[1], shown(plan.before.units[n].cooling_kwh, decimals(plan.before.units.map((u) => u.cooling_kwh))));
        assert.equal(cells[2], shown(plan.after.units[n].cooling_kwh, decimals(plan.after.units.map((u) => u.cooling_kwh))));
    }
});

test("the chosen surface's card says what is bought for it", async () => {
    const { page } = opened;
    const item = plan.chosen[1];
    await page.locator("#plan button.name").getByText(item.surface, { exact: true }).click();
    assert.equal(await page.getAttribute(".card", "data-surface"), item.surface);
    const card = await page.textContent(".card");
    assert.ok(card.includes(item.why) && card.includes(`purchase 2 of ${plan.chosen.length}`), card);
});

for (const scheme of ["light", "dark"]) {
    test(`axe-core finds nothing serious, ${scheme}`, async () => {
        const { context, page } = await open_report(browser, file, { colorScheme: scheme, bypassCSP: true });
        await page.evaluate(() => document.querySelectorAll("#plan details").forEach((d) => (d.open = true)));
        await page.evaluate(axe);
        const { violations } = await page.evaluate(() => axe.run());
        assert.deepEqual(
            violations.filter((v) => v.impact === "serious" || v.impact === "critical").map((v) => `${v.id}: ${v.nodes.map((n) => n.target.join(" ")).join(", ")}`),
            [],
        );
        await context.close();
    });
}

test("fits a narrow screen", async () => {
    const { context, page } = await open_report(browser, file, { viewport: { width: 420, height: 800 } });
    assert.ok((await page.evaluate(() => document.documentElement.scrollWidth)) <= 420);
    await context.close();
});

test("asked for nothing and said nothing", () => {
    assert.deepEqual(opened.requests, []);
    assert.deepEqual(opened.messages, []);
});
