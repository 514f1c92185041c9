// The library at work beside the page, which stays alive meanwhile. One message at a time.
"use strict";

let module = null;
let library = null;

// Packed by gzip, as base64.
async function unpack(text) {
    const packed = Uint8Array.from(atob(text.trim()), (letter) => letter.charCodeAt(0));
    const plain = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
    return WebAssembly.compile(await new Response(plain).arrayBuffer());
}

onmessage = async ({ data: { number, text, task, bytes } }) => {
    try {
        if (text) { module = await unpack(text); }
        library ??= begin(module);
        postMessage({ number, told: task ? hear(library, task, bytes ?? new Uint8Array()) : null });
    } catch (error) {
        // It stopped in the middle of something: what it holds is not to be trusted.
        library = null;
        postMessage({ number, stopped: String(error) });
    }
};
