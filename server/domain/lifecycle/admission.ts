/** What decides whether readings of a device are let in. */
type AdmissionFacts = {
  /** whether it has probes that are neither archived nor deleted */
  readonly known: boolean;
  /** whether probes of it, or the place they would go to, were archived or deleted */
  readonly archived: boolean;
  /** whether an owner password is set */
  readonly owned: boolean;
  /** whether it has a login of its own, or belongs to the demo of the daemon itself */
  readonly trusted: boolean;
};

/**
 * What happens to readings: `store` them (which makes place and probes on first contact), let the device `wait` until
 * somebody accepts it, or refuse them as those of something that was `archived`.
 */
export function admissionOf({ known, archived, owned, trusted }: AdmissionFacts) {
  if (known) return 'store';
  if (owned && !trusted) return 'wait';
  return archived ? 'archived' : 'store';
}
