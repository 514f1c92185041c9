// The server behind the page: it is asked, and addresses lead to it. Where the page is one file,
// others of these names take its place.
"use strict";

const ask = (path, how) => fetch(path, how);
const go = (path) => location.assign(path);
// What the names of all that a page keeps on this device begin with.
const SHELF = "ribwright ";

// What is done when the maker leaves this page, and comes back to it.
function whenLeft(left, back) {
    document.addEventListener("visibilitychange", () => (document.visibilityState === "visible" ? back : left)());
}
