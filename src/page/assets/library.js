// The library in its memory: a message in, a message out (src/one_file says how they lie there).
"use strict";

// The library of a compiled module, begun anew. Libraries under it name functions of the browser,
// clock and random numbers; it calls none of them.
function begin(module) {
    const none = {};
    for (const { module: from, name } of WebAssembly.Module.imports(module)) {
        (none[from] ??= {})[name] = () => { throw new Error(`the library asks for ${name}`); };
    }
    return new WebAssembly.Instance(module, none).exports;
}

// Has it do something: a task, and bytes that belong to it. Gives what it tells, the body, and the
// files that are other than before, null where one is gone.
function hear(library, task, bytes) {
    const head = new TextEncoder().encode(JSON.stringify(task));
    const size = 4 + head.length + bytes.length;
    // The memory may grow, and its buffer be another one, whenever the library works.
    const free = library.room(size);
    const room = new Uint8Array(library.memory.buffer, free, size);
    new DataView(room.buffer, room.byteOffset).setUint32(0, head.length, true);
    room.set(head, 4);
    room.set(bytes, 4 + head.length);
    const place = library.ask();
    const answer = new Uint8Array(library.memory.buffer, place, library.length()).slice();
    let at = 4 + new DataView(answer.buffer).getUint32(0, true);
    const told = JSON.parse(new TextDecoder().decode(answer.subarray(4, at)));
    const next = (length) => answer.slice(at, at += length);
    const body = next(told.body);
    const files = told.files.map(([name, length]) => [name, length === null ? null : next(length)]);
    return { ...told, body, files };
}

// The task and the bytes that bring files.
function bring(task, files) {
    const bytes = new Uint8Array(files.reduce((sum, [, content]) => sum + content.length, 0));
    let at = 0;
    for (const [, content] of files) { bytes.set(content, at); at += content.length; }
    return [{ ...task, files: files.map(([name, content]) => [name, content.length]) }, bytes];
}
