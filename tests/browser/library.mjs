// The library of the one file in node, as its worker has it: the advice for each folder, as JSON,
// one after the other, each ended by a byte of zero.

import { readFileSync, readdirSync, statSync } from "node:fs";
import { basename, join } from "node:path";

/// The functions by which a script talks to the library.
export function library(file) {
    const source = readFileSync(new URL("../../src/page/assets/library.js", import.meta.url), "utf8");
    const { begin, hear, bring } = new Function(`${source}; return { begin, hear, bring };`)();
    const instance = begin(new WebAssembly.Module(readFileSync(file)));
    return { bring, tell: (task, bytes = new Uint8Array()) => hear(instance, task, bytes) };
}

/// Every file below a folder, by names that begin with the folder's.
export function below(folder, name = basename(folder)) {
    return readdirSync(folder).flatMap((entry) => {
        const path = join(folder, entry);
        return statSync(path).isDirectory() ? below(path, `${name}/${entry}`) : [[`${name}/${entry}`, new Uint8Array(readFileSync(path))]];
    });
}

export async function run(file, folders) {
    const { bring, tell } = library(file);
    for (const folder of folders) {
        const opened = tell(...bring({ do: "open", day: 20000 }, below(folder)));
        if (opened.status !== 200) { throw new Error(`${folder}: ${new TextDecoder().decode(opened.body)}`); }
        const advice = tell({ do: "advise" });
        process.stdout.write(new TextDecoder().decode(advice.body));
        process.stdout.write("\0");
    }
}
