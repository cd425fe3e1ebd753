// Scripts are loaded in two places, the worker and the service worker, both from our own build. With
// Trusted Types switched on, nothing else in the page can load one.
interface Policy { createScriptURL(url: string): string }
interface Factory { createPolicy(name: string, rules: Policy): Policy }

const factory = (globalThis as { trustedTypes?: Factory }).trustedTypes;
const rules: Policy = {
  createScriptURL(url) {
    if (/^\/[\w.-]+\.js$/.test(url)) return url;
    throw new TypeError(`not a script of ours: ${url}`);
  },
};
const policy = factory?.createPolicy("batterboard", rules) ?? rules;

export const trusted = (url: string) => policy.createScriptURL(url);
