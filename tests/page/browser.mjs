// Opens a report from the disk in Debian's Chromium, with every request refused but the file itself.
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";

const flags = [
    "--no-sandbox",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    // WebGL by software: it runs without a graphics card.
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
];

export async function launch() {
    return chromium.launch({ executablePath: process.env.NOONSHELL_CHROMIUM ?? "/usr/bin/chromium", args: flags, headless: true });
}

/// The page once it is ready, and what it asked for or said meanwhile and later.
export async function open_report(browser, file, options = {}) {
    const context = await browser.newContext({ viewport: { width: 1400, height: 900 }, locale: "en-US", ...options });
    const page = await context.newPage();
    const url = pathToFileURL(file).href;
    const requests = [];
    const messages = [];
    await page.route("**/*", (route) => {
        const asked = route.request().url().split("#")[0];
        if (asked === url) return route.continue();
        requests.push(asked.slice(0, 200));
        return route.abort();
    });
    page.on("console", (message) => messages.push(`${message.type()}: ${message.text()}`));
    page.on("pageerror", (error) => messages.push(`error: ${error.message}`));
    await page.goto(url);
    await page.waitForFunction(() => document.documentElement.dataset.ready === "yes", null, { timeout: 60_000 });
    const ready_ms = await page.evaluate(() => performance.getEntriesByName("ready")[0].startTime);
    // The plots follow the rest.
    await page.waitForSelector(".plot canvas", { timeout: 60_000 });
    return { context, page, requests, messages, ready_ms };
}

/// Once the picture shows what was asked for, as fine as it gets: a moving view may be coarser.
export async function settled(page) {
    await page.evaluate(async () => {
        const frame = () => new Promise((done) => requestAnimationFrame(done));
        do {
            await frame();
            await frame();
        } while (window.report.view?.moving);
        await frame();
    });
}
