"use strict";
(() => {
/* Passkeys: asks the server for a challenge, the device for an answer. */
const bytes = (text) => Uint8Array.from(atob(text.replace(/-/g, "+").replace(/_/g, "/")), (c) => c.charCodeAt(0));
const text = (data) => btoa(String.fromCharCode(...new Uint8Array(data))).replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");
const listed = (list) => (list || []).map((c) => ({ ...c, id: bytes(c.id) }));

class Refused extends Error {}

async function send(path, body) {
  const res = await fetch(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) });
  const data = await res.json();
  if (!res.ok) throw new Refused(data.what);
  return data;
}

async function register(part) {
  const asked = (await send("/passkey/new", { password: part.querySelector("[name=present]")?.value ?? "" })).publicKey;
  asked.challenge = bytes(asked.challenge);
  asked.user.id = bytes(asked.user.id);
  asked.excludeCredentials = listed(asked.excludeCredentials);
  const made = await navigator.credentials.create({ publicKey: asked });
  const r = made.response;
  await send("/passkey/take", { name: part.querySelector("[name=name]").value, answer: {
    id: made.id, rawId: text(made.rawId), type: made.type, clientExtensionResults: {},
    response: { clientDataJSON: text(r.clientDataJSON), attestationObject: text(r.attestationObject), transports: r.getTransports ? r.getTransports() : [] },
  } });
  location.reload();
}

async function signIn(part) {
  const asked = (await send("/passkey/ask", {})).publicKey;
  asked.challenge = bytes(asked.challenge);
  asked.allowCredentials = listed(asked.allowCredentials);
  const shown = await navigator.credentials.get({ publicKey: asked });
  const r = shown.response;
  const done = await send("/passkey/sign-in", { then: part.dataset.then, answer: {
    id: shown.id, rawId: text(shown.rawId), type: shown.type, clientExtensionResults: {},
    response: { clientDataJSON: text(r.clientDataJSON), authenticatorData: text(r.authenticatorData), signature: text(r.signature), userHandle: r.userHandle ? text(r.userHandle) : "" },
  } });
  location.assign(done.to);
}

for (const part of document.querySelectorAll("[data-passkey]")) {
  if (!window.PublicKeyCredential || !navigator.credentials || location.origin !== part.dataset.origin) {
    const no = part.parentElement.querySelector("[data-no-passkey]");
    if (no) no.hidden = false;
    continue;
  }
  part.hidden = false;
  const wrong = part.querySelector("[role=alert]"), button = part.querySelector("button");
  const does = part.dataset.passkey === "register" ? register : signIn;
  const begin = async (event) => {
    event.preventDefault();
    wrong.textContent = "";
    wrong.hidden = true;
    button.disabled = true;
    try {
      await does(part);
    } catch (e) {
      const d = part.dataset;
      wrong.textContent = e instanceof Refused ? e.message : e.name === "NotAllowedError" ? d.cancelled : e.name === "InvalidStateError" ? d.has : d.broken;
      wrong.hidden = false;
    }
    button.disabled = false;
  };
  part.addEventListener("submit", begin);
}
})();
