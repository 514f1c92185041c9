// So many requests a second for so many seconds, as a phone and a laptop at one joint
// would send them: pages, pictures, keystrokes. No browser is needed.

import { check } from "./check.mjs";

export async function run(base, [seconds, rate]) {
    const page = await (await fetch(`${base}joint/1/read`)).text();
    const version = page.match(/data-version="([^"]*)"/)[1];
    const stations = [...page.matchAll(/data-station="([^"]*)"/g)].map((found) => found[1]);
    const key = (n) => JSON.stringify({
        version, round: Number(page.match(/data-round="(\d+)"/)[1]), against: "neighbour", rebent: false, keep: false,
        cells: [...new Set(stations)].map((station, i) => ({ station, quantity: "overlap", gap: true, text: i < 5 ? `0.${n % 5}` : "" })),
    });
    const typed = (n) => fetch(`${base}joint/1/typed`, {
        method: "POST", body: key(n), headers: { "Content-Type": "application/json", Origin: base.slice(0, -1) },
    });
    const get = (path) => fetch(base + path);
    const kinds = [
        () => get("joint/1"), (n) => typed(n), () => get("assets/page.css"), (n) => get(`joint/1/space/${n % 80}/40`), () => get("joint/1/read"),
    ];
    const times = [];
    let failed = 0;
    const one = async (n) => {
        const from = performance.now();
        try {
            const response = await kinds[n % kinds.length](n);
            await response.arrayBuffer();
            if (response.status !== 200) { failed += 1; }
        } catch { failed += 1; }
        times.push(performance.now() - from);
    };
    const begin = performance.now();
    const running = [];
    for (let n = 0; n < seconds * rate; n += 1) {
        const wait = begin + (n * 1000) / rate - performance.now();
        if (wait > 0) { await new Promise((done) => { setTimeout(done, wait); }); }
        running.push(one(n));
    }
    await Promise.all(running);
    times.sort((a, b) => a - b);
    const at = (part) => times[Math.floor(part * (times.length - 1))].toFixed(0);
    console.log(`${times.length} requests in ${((performance.now() - begin) / 1000).toFixed(1)} s: median ${at(0.5)} ms, 95 % ${at(0.95)} ms, longest ${at(1)} ms`);
    check(failed === 0, `${failed} failed`);
}
