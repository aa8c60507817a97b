// Names from a model and texts from a site file that look like markup show as text.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { launch, open_report } from "./browser.mjs";

const hostile = "</script><img src=x onerror=alert(1)>";

test("a body named like markup shows as text", async () => {
    const folder = mkdtempSync(join(tmpdir(), "report-names-"));
    const browser = await launch();
    try {
        const models = process.env.NOONSHELL_MODELS;
        const step = readFileSync(join(models, "station.step"), "latin1");
        assert.ok(step.includes("'clinic'"));
        writeFileSync(join(folder, "station.step"), step.replaceAll("'clinic'", `'${hostile}'`), "latin1");
        const site = readFileSync(join(models, "station.toml"), "utf8").replace('"clinic"', '"*img*"');
        writeFileSync(join(folder, "site.toml"), `${site}# ${hostile}\n`);
        execFileSync(process.env.NOONSHELL_PROGRAM, ["run", join(folder, "site.toml"), "--out", join(folder, "out"), "--fast", "--quiet"]);
        const { page, requests, messages } = await open_report(browser, join(folder, "out", "report.html"));
        assert.equal(await page.locator("img:not(.printed)").count(), 0);
        // In the table of rooms, and in those of heat accounts, plant sizes and rooms without cooling.
        await page.locator("#rooms").getByRole("button", { name: hostile, exact: true }).waitFor();
        assert.equal(await page.locator("#rooms").getByRole("cell", { name: hostile, exact: true }).count(), 4);
        const names = await page.locator("#surface-choice option").allTextContents();
        assert.ok(names.some((name) => name.includes(`${hostile}/roof`)), names.join());
        await page.selectOption("#surface-choice", { label: names.find((name) => name.includes(`${hostile}/roof`)) });
        assert.equal(await page.textContent(".card h3"), `${hostile}/roof`);
        assert.ok((await page.textContent("pre")).includes(`# ${hostile}`));
        assert.deepEqual(requests, []);
        assert.deepEqual(messages, []);
    } finally {
        await browser.close();
        rmSync(folder, { recursive: true });
    }
});
