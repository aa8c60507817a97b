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
import { launch, open_report, settled } from "./browser.mjs";

const hostile = "<b onclick=alert(1)>white</b> coat";
const scaffold = "<i>scaffold</i>";
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
waste_percent = 8
life_years = 20
upkeep_per_m2_year = 0.5
recoat_per_m2 = 9
recoat_years = 8
call_out = "${scaffold}"
call_out_cost = 90
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
samples = 32
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
/// Three digits at least.
const figure = (value) => shown(value, value >= 100 ? 0 : value >= 10 ? 1 : value >= 1 ? 2 : 3);
/// Decimals of a column: three digits of its largest number.
const decimals = (values) => {
    const most = Math.max(...values.map(Math.abs));
    return most >= 100 ? 0 : most >= 10 ? 1 : 2;
};
/// As the page says it in metric units, which is as the program says it but for the unit's letters.
const months = "January February March April May June July August September October November December".split(" ");
const why = (light) =>
    `${shown(light.day_kwh_m2, 1)}\u00a0kWh/m² of light a day in ${months[light.month - 1]}; ${shown(100 * light.direct_share)}% direct; half from ${light.half_from} to ${light.half_to}`;
const own = () => plan.frontier.findIndex((point) => point.budget === plan.budget);
const slider = (page) => page.locator("#plan input[type=range]");
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
    const cost = bought.flatMap((c) => c.parts).reduce((sum, part) => sum + part.cost, 0) + plan.call_out_cost;
    assert.ok(Math.abs(cost - plan.spent) < 1e-6 * plan.spent, `${cost} of ${plan.spent}`);
    assert.ok(plan.call_outs.length > 0 && plan.confidence.samples === 32);
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
            shown(item.call_out_cost),
            shown(item.cost_so_far),
            shown(item.saves_kwh, decimals(plan.chosen.map((c) => c.saves_kwh))),
            shown(item.saves_peak_w / 1000, 2),
            shown(item.saves_running_cost, decimals(plan.chosen.map((c) => c.saves_running_cost))),
            shown(item.upkeep_per_year),
            shown(100 * item.confidence),
            why(item.light),
        ]);
    }
    assert.ok((await page.textContent("#findings")).includes(`${shown(plan.spent)} credits`));
    for (const item of plan.chosen) assert.equal(item.why, why(item.light).replace("\u00a0kWh/m²", " kWh/m2").replace("% direct", " % direct"));
});

test("the first money and what the bound rests on are told in words", async () => {
    const intro = await opened.page.textContent("#plan .intro");
    const first = plan.first_tenth;
    const purchases = first.purchases === 1 ? "1 purchase" : `${first.purchases} purchases`;
    assert.ok(
        intro.includes(`The first ${shown(first.cost)} credits of what it spends (${shown((100 * first.cost) / plan.spent, 1)}%, ${purchases}) save ${figure(first.saved_kwh)}\u00a0kWh, ${shown(100 * first.share_of_saving, 1)}% of the saving`),
        intro,
    );
    assert.ok(intro.includes(`saves more than ${figure(plan.bound_kwh)}\u00a0kWh, if in none that promises as much the purchases help each other more`), intro);
});

test("payback stands there for a whole year", async () => {
    const folder_of_year = join(folder, "year");
    const months = (key, value) => `${key} = [${Array(12).fill(value).join(", ")}]\n`;
    const normals = `[weather]\n${months("mean_high_c", 35)}${months("mean_low_c", 20)}${months("dew_point_c", 5)}${months("wind_m_s", 3)}${months("tau_b", 0.4)}${months("tau_d", 2.2)}`;
    const year = site.replace(/\[weather\.design_day\]\n.*\n/, normals).replace("samples = 32\n", "").replace('"bunk-1", "bunk-2", "clinic"', '"clinic"').replace('ignores = [', 'ignores = ["bunk-1", "bunk-2", ');
    writeFileSync(join(folder, "year.toml"), year);
    execFileSync(process.env.NOONSHELL_PROGRAM, ["plan", join(folder, "year.toml"), "--budget", "600", "--out", folder_of_year, "--fast", "--quiet"]);
    const of_year = JSON.parse(readFileSync(join(folder_of_year, "plan.json"), "utf8"));
    assert.ok(of_year.chosen.length > 0 && of_year.chosen.every((item) => item.payback_years > 0));
    const { context, page } = await open_report(browser, join(folder_of_year, "plan.html"));
    const table = page.locator("#plan .table").first();
    const heads = await table.locator("thead th").allTextContents();
    const column = heads.findIndex((head) => head.startsWith("Payback"));
    assert.ok(column > 0, heads.join());
    for (const [n, row] of (await table.locator("tbody tr").all()).entries())
        assert.equal(await row.locator("td").nth(column).textContent(), shown(of_year.chosen[n].payback_years, 1));
    await context.close();
});

test("reasons are told in the units that were chosen", async () => {
    const { page } = opened;
    const reason = page.locator("#plan .table").first().locator("tbody tr").first().locator("td").last();
    await page.locator("input[type=radio][value=us]").check({ force: true });
    // 1 kWh/m2 = 0.3170 kBTU/ft2: NIST SP 811 (2008), appendix B.
    const told = Number((await reason.textContent()).match(/([\d.]+)\u00a0kBTU\/ft² of light/)[1]);
    assert.ok(Math.abs(told - 0.317 * plan.chosen[0].light.day_kwh_m2) < 0.051, String(told));
    await page.locator("input[type=radio][value=metric]").check({ force: true });
});

test("names that look like markup show as text", async () => {
    const { page } = opened;
    assert.equal(await page.locator("#plan td b, #plan td i, .legend b, .lead b[onclick]").count(), 0);
    const text = await page.textContent("#plan");
    assert.ok(text.includes(hostile) && text.includes(scaffold));
    assert.ok((await page.textContent(".legend")).includes(hostile));
});

test("another budget is chosen by keys and by a click, and the model follows", async () => {
    const { page } = opened;
    await page.locator("input[type=radio][value=finish]").check({ force: true });
    await settled(page);
    const at_own = await picture(page);
    await slider(page).press("Home");
    await settled(page);
    assert.deepEqual((await told(page)).slice(0, 3), ["0 credits", "0 credits", "0"]);
    assert.notEqual(await picture(page), at_own);
    for (const [n, point] of plan.frontier.entries()) {
        const [spent, calls, surfaces, left] = await told(page);
        assert.equal(spent, `${shown(point.cost)} credits`);
        assert.equal(calls, `${shown(point.call_out_cost)} credits`);
        assert.equal(surfaces, String(point.candidates.length));
        assert.equal(left, `${shown(point.cooling_kwh)}\u00a0kWh`);
        const change = await page.textContent("#plan .change");
        const beside = (one, other) => one.candidates.filter((c) => !other.candidates.includes(c)).map((c) => plan.candidates[c]);
        const [comes_in, goes_out] = [beside(point, plan.frontier[own()]), beside(plan.frontier[own()], point)];
        const named = (list) => list.slice(0, 8).map((c) => `${c.surface} (${c.treatment})`).join(", ") + (list.length > 8 ? ` and ${list.length - 8} more` : "");
        if (n === own()) assert.equal(change, "This is the plan.");
        else if (comes_in.length + goes_out.length === 0) assert.equal(change, "It buys what the plan buys.");
        else {
            const parts = [comes_in.length > 0 ? `in comes ${named(comes_in)}` : "", goes_out.length > 0 ? `out goes ${named(goes_out)}` : ""];
            assert.equal(change, `Against the plan ${parts.filter((part) => part !== "").join("; ")}.`);
        }
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
    assert.deepEqual((await told(page)).slice(0, 3), ["0 credits", "0 credits", "0"]);
    await page.locator("#plan button", { hasText: "Back to the budget" }).click();
    await settled(page);
    assert.equal((await told(page))[0], `${shown(plan.spent)} credits`);
    assert.equal(await picture(page), at_own);
});

/// Cells of the rows of a table of the plan, by its caption.
const cells_of = (page, caption) =>
    page.evaluate(
        (name) =>
            [...document.querySelectorAll("#plan table")]
                .filter((table) => table.caption?.textContent === name)
                .flatMap((table) => [...table.tBodies[0].rows].map((row) => [...row.cells].map((cell) => cell.textContent))),
        caption,
    );

test("what is needed, upkeep and new coats are those of the shopping list", async () => {
    const { page } = opened;
    const list = [...plan.shopping_list].sort((a, b) => b.cost - a.cost);
    assert.deepEqual(
        await cells_of(page, "What that takes of each treatment"),
        list.map((item) => [
            item.treatment,
            String(item.surfaces),
            shown(item.area_m2, 1),
            shown(item.ordered_m2, 1),
            shown(item.cost),
            shown(item.life_years),
            shown(item.cost_per_year_of_life),
            item.coat_years === null ? "–" : shown(item.coat_cost),
            item.coat_years === null ? "–" : shown(item.coat_years),
            shown(item.upkeep_per_year),
        ]),
    );
    // By the prices of the site file.
    const white = list.find((item) => item.treatment === hostile);
    assert.ok(Math.abs(white.coat_cost - 9 * white.area_m2) < 1e-6 * white.coat_cost);
    assert.equal(white.coat_years, 8);
    assert.ok(Math.abs(white.upkeep_per_year - (0.5 + 9 / 8) * white.area_m2) < 1e-6 * white.upkeep_per_year);
});

test("call-outs are paid once for a unit and name what they come for", async () => {
    const { page } = opened;
    const rows = await cells_of(page, "Call-outs");
    assert.equal(rows.length, plan.call_outs.length);
    const called = plan.chosen.filter((item) => item.treatments.includes(hostile)).map((item) => item.surface);
    assert.deepEqual(plan.call_outs.flatMap((call) => call.shared_by).sort(), [...called].sort());
    for (const [n, call] of plan.call_outs.entries()) {
        assert.ok(call.shared_by.every((name) => name.startsWith(`${call.unit}/`)));
        const ends = call.shared_by.map((name) => name.slice(call.unit.length + 1)).join(", ");
        assert.deepEqual(rows[n], [call.unit, scaffold, "90", ends]);
    }
    assert.equal(new Set(plan.call_outs.map((call) => call.unit)).size, plan.call_outs.length);
});

test("how sure the plan is stands there with its numbers", async () => {
    const { page } = opened;
    const { confidence } = plan;
    const text = await page.textContent("#plan");
    assert.ok(text.includes(`saves ${figure(confidence.saving_low_kwh)}\u00a0kWh to ${figure(confidence.saving_high_kwh)}\u00a0kWh`));
    assert.deepEqual(
        await cells_of(page, "What moves the answer most"),
        confidence.inputs.slice(0, 8).map((i) => [i.input, shown(i.rank_correlation_saving, 2), shown(i.rank_correlation_plan_kept, 2)]),
    );
    assert.deepEqual(
        await cells_of(page, "How far ranks spread"),
        confidence.ranks.slice(0, 8).map((r) => [r.surface, shown(r.rank), shown(r.rank_low), shown(r.rank_high)]),
    );
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
    assert.ok(card.includes(why(item.light)) && card.includes(`purchase 2 of ${plan.chosen.length}`), card);
    assert.ok(card.includes(`${shown(100 * item.confidence)}%`), card);
});

test("the card follows the budget that is looked at, and tells what was tried there", async () => {
    const { page } = opened;
    const { surface } = plan.chosen[1];
    const most = plan.frontier.length - 1;
    const dearest = plan.frontier[most].candidates.map((c) => plan.candidates[c]).find((c) => c.surface === surface);
    await page.evaluate((n) => window.report.state.set({ plan: n }), most);
    const card = await page.textContent(".card");
    assert.ok(card.includes(`What ${shown(plan.frontier[most].budget)} credits buys here`), card);
    assert.ok(card.includes(dearest.treatment) && card.includes(`${shown(dearest.cost)} credits`), card);
    for (const tried of plan.candidates.filter((c) => c.surface === surface))
        assert.ok(card.includes(`${figure(tried.alone_saves_kwh)}\u00a0kWh`), `${tried.treatment}: ${card}`);
    const key = await page.locator(".legend .finishes li").allTextContents();
    const bought = new Set(plan.frontier[most].candidates.map((c) => plan.candidates[c].treatment));
    assert.deepEqual(new Set(key), bought);
    await page.evaluate((n) => window.report.state.set({ plan: n }), own());
});

test("ranks go by what the best finish saves alone for its cost", async () => {
    const { page } = opened;
    const per_cost = (c) => c.alone_saves_kwh / c.cost;
    const best = plan.candidates.reduce((a, b) => (per_cost(b) > per_cost(a) ? b : a));
    const first = await page.locator("#surface-choice option").nth(1).textContent();
    assert.equal(first, `1. ${best.surface}`);
    assert.equal(await page.locator("input[type=radio][value=rank]").count(), 1);
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
        const { context, page } = await open_report(browser, file);
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
