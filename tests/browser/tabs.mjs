// Two tabs on one joint: each hears of the other, nothing is overwritten unseen.

import { DESK, open } from "./browser.mjs";
import { check, kept, same } from "./check.mjs";

export async function run(base) {
    const window = await open({ viewport: DESK });
    const first = window.page;
    const second = await window.context.newPage();
    for (const page of [first, second]) {
        await page.goto(`${base}joint/1/read`);
        await page.waitForFunction(() => document.getElementById("main").dataset.drawn);
    }
    const field = (page, i) => page.locator(".cell[data-quantity=overlap] input").nth(i);

    await field(first, 0).fill("0.30");
    await field(first, 0).press("Enter");
    await kept(first);
    // Another field in the other tab: it takes over what the first one typed.
    await field(second, 1).fill("0.20");
    await field(second, 1).press("Enter");
    await kept(second);
    same(await field(second, 0).inputValue(), "0.30", "the other tab's value");

    // The same field, not knowing of each other: the second tab has come to rest.
    await second.waitForTimeout(700);
    await field(first, 2).fill("0.10");
    await field(first, 2).press("Enter");
    await kept(first);
    await field(second, 2).fill("0.15");
    await field(second, 2).press("Enter");
    const mark = second.locator("#f2-overlap-mark");
    await mark.getByText("Another page or the terminal typed gap 0.10 here").waitFor();
    same(await field(second, 2).inputValue(), "0.15", "its own value stays in sight");
    await mark.getByRole("button", { name: "Keep mine" }).click();
    await kept(second);
    await field(first, 3).fill("0.25");
    await field(first, 3).press("Enter");
    await kept(first);
    same(await field(first, 2).inputValue(), "0.15", "the first tab hears of it");

    // The first saves; the second is told, and what it typed stays.
    await field(second, 4).fill("0.05");
    await field(second, 4).press("Enter");
    await kept(second);
    await field(first, 5).fill("0.05");
    await field(first, 5).press("Enter");
    await kept(first);
    await first.getByRole("button", { name: "Look it over and save" }).click();
    await first.getByRole("button", { name: "Save round 3" }).click();
    await first.waitForURL((url) => !url.pathname.endsWith("/read"));
    await field(second, 6).fill("0.05");
    await field(second, 6).press("Enter");
    await second.locator("#stale").getByText("The folder was changed").waitFor();
    check(await second.locator("#save").isDisabled(), "nothing can be saved over it");
    same(await field(second, 6).inputValue(), "0.05", "typed and still there");
    await second.getByRole("link", { name: "Look at what is there now" }).click();
    await second.getByText("was begun as round 3").waitFor();
    same(await field(second, 6).inputValue(), "0.05", "and after the reload");
    check(window.strays.length === 0, `left the origin: ${window.strays}`);
    // A conflict is an answer with a status of its own, which the browser notes.
    const faults = window.faults.filter((f) => !f.includes("409"));
    check(faults.length === 0, `complained: ${faults}`);
    await window.close();
}
