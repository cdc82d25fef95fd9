import type { ContactMethod, ContactMethodKind } from '../../../shared/model/people/people.ts';
import { INSTALLATION_WEBHOOK_ID } from '../../../shared/model/people/people.ts';
import type { GapReason } from '../../../shared/wire/people.ts';
import type { KeyName } from './keys.ts';

/** What a start finds out about a record and the keys it goes on with. */
export type FoundAtStart = {
  readonly ways: readonly Pick<ContactMethod, 'id' | 'kind'>[];
  /** keys that are others than those the contact methods were set up with */
  readonly newKeys: readonly KeyName[];
  /** whether the record was kept on another machine, or another installation's here, until now */
  readonly fromElsewhere: boolean;
  readonly canMail: boolean;
  /** whether the settings name a webhook, and whether it was ever sent anything */
  readonly houseWebhook: { readonly isSet: boolean; readonly wasUsed: boolean };
};

type FoundGap = { readonly wayId: number; readonly why: GapReason };

/** Contact methods that may reach nobody after a restore, and why. */
export function restoreGaps(found: FoundAtStart): FoundGap[] {
  const { ways: methods, newKeys, fromElsewhere, canMail, houseWebhook } = found;
  const of = (kind: ContactMethodKind, why: GapReason): FoundGap[] =>
    methods.flatMap((method) => (method.kind === kind ? [{ wayId: method.id, why }] : []));
  const house = (why: GapReason): FoundGap[] =>
    houseWebhook.wasUsed ? [{ wayId: INSTALLATION_WEBHOOK_ID, why }] : [];
  const gaps: FoundGap[] = [];
  if (newKeys.includes('push-keys')) gaps.push(...of('push', 'push-keys'));
  if (newKeys.includes('webhook-secret')) {
    gaps.push(...of('webhook', 'webhook-secret'));
    if (houseWebhook.isSet) gaps.push(...house('webhook-secret'));
  }
  if (fromElsewhere && !canMail) gaps.push(...of('mail', 'no-mail-server'));
  if (fromElsewhere && !houseWebhook.isSet) gaps.push(...house('no-webhook-url'));
  return gaps;
}

/** Whether a gap is closed by what the settings hold now. */
export function isClosed(
  why: GapReason,
  { canMail, houseWebhook }: Pick<FoundAtStart, 'canMail' | 'houseWebhook'>,
): boolean {
  return (why === 'no-mail-server' && canMail) || (why === 'no-webhook-url' && houseWebhook.isSet);
}
