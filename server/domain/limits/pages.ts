import { addressGroup } from '../access/address.ts';
import type { Limits } from './table.ts';

/** Who has a page open. */
export type Viewer = {
  /** null while nobody signs in */
  readonly accountId: number | null;
  readonly isOwner: boolean;
  readonly address: string;
};

/** Whether one more page may be open: so many in all, an account and an address, with room kept for owners. */
export function mayOpenPage(viewer: Viewer, open: readonly Viewer[], limits: Limits): boolean {
  const { accountId, isOwner, address } = viewer;
  if (open.length >= limits.pagesInAll) return false;
  const ofAccount = accountId === null ? 0 : open.filter((one) => one.accountId === accountId).length;
  if (ofAccount >= limits.pagesPerAccount) return false;
  if (isOwner) return true;
  if (open.length >= limits.pagesInAll - limits.pagesKeptForOwner) return false;
  const group = addressGroup(address);
  return open.filter((one) => addressGroup(one.address) === group).length < limits.pagesPerAddress;
}
