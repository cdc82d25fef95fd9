import type {
  AcceptedDevice,
  ArchiveAnswer,
  ArchiveContents,
  ArchiveItemView,
  WaitingAnswer,
} from '../../shared/wire/lifecycle.ts';
import type { ArchiveTarget } from '../domain/lifecycle/scope.ts';
import type { By } from './daemon.ts';

/** Devices that wait to be accepted. Each order throws Fault `not-found`, `bad-request` or `store-failed`. */
export type WaitingService = {
  answer(): WaitingAnswer;
  /** Lets the device in: all that is kept of it is stored in one go, by the times at which it arrived. */
  accept(device: string, who?: By): AcceptedDevice;
  /** The same of one that may be on the list: it was let in otherwise. */
  acceptIfWaiting(device: string): void;
  ignore(device: string, who?: By): void;
  /** Puts a device that was ignored back on the list. */
  unignore(device: string): void;
};

/** Archives, deletes and restores. Each order throws Fault `not-found`, `bad-request` or `store-failed`. */
export type ArchiveService = {
  answer(): ArchiveAnswer;
  /** What would go, before it is ordered. */
  contents(target: ArchiveTarget): ArchiveContents;
  archive(target: ArchiveTarget, who?: By): ArchiveItemView;
  /** As archiving, and removed for good after 30 days. */
  delete(target: ArchiveTarget, who?: By): ArchiveItemView;
  /** Deletes what is archived; with `now` what is deleted is removed for good at once. */
  deleteItem(id: number, order: { readonly now: boolean } & By): ArchiveItemView;
  restore(id: number): void;
};
