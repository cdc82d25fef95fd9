/** Options that trust one certificate, also one that an authority signed, and no other; none for a broker elsewhere. */
export function trustIn(pinned: Buffer | undefined) {
  if (pinned === undefined) return {};
  return { ca: pinned, allowPartialTrustChain: true, checkServerIdentity: () => undefined };
}
