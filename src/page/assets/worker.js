// The library at work beside the page, which stays alive meanwhile. One message at a time.
"use strict";

let module = null;
let library = null;

function bytesOf(text) {
    if (Uint8Array.fromBase64) { return Uint8Array.fromBase64(text); }
    const letters = atob(text);
    const bytes = new Uint8Array(letters.length);
    for (let i = 0; i < bytes.length; i += 1) { bytes[i] = letters.charCodeAt(i); }
    return bytes;
}

// Packed by gzip, as base64; compiled while it is unpacked.
function unpack(text) {
    const plain = new Blob([bytesOf(text)]).stream().pipeThrough(new DecompressionStream("gzip"));
    return WebAssembly.compileStreaming(new Response(plain, { headers: { "Content-Type": "application/wasm" } }));
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
