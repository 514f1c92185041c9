// A code that came behind the address, from the QR code, is given at once; behind
// the # it was never sent with the address itself.
"use strict";

const given = location.hash.slice(1);
if (given) {
    history.replaceState(null, "", location.pathname);
    document.getElementById("code").value = given;
    document.getElementById("code-form").submit();
}
