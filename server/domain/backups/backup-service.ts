import type { BackupsAnswer } from '../../../shared/wire/http.ts';

/** A finished backup; or, not verified, one under way or left over. */
export type BackupFile = {
  readonly name: string;
  readonly atMs: number;
  readonly bytes: number;
  readonly verified: boolean;
};

/** Where backups lie. What is begun counts for nothing until it is finished. */
export type BackupFolder = {
  list(): BackupFile[];
  pathOf(name: string): string;
  /** @returns the path at which the copy is to be made */
  begin(name: string): string;
  finish(name: string): void;
  /** Removes what was begun under the name. */
  abandon(name: string): void;
  remove(name: string): void;
  /** Removes what earlier processes left unfinished. */
  sweep(): void;
};

/** The photos of the record, beside its backups. */
export type BackupPhotos = {
  /** Lays those there that are not there yet. @throws Error */
  keep(): void;
  /** Drops those that neither the record nor one of these backups has. @param backups paths */
  drop(backups: readonly string[]): void;
};

/** Makes a proved copy of the record while it is written. `done` rejects with Fault `backup-failed`. */
export type CopyRecord = (copy: { to: string; onProgress: (pct: number) => void }) => {
  readonly done: Promise<void>;
  readonly stop: () => Promise<void>;
};

/** What the edges may ask of the backups. */
export type BackupService = {
  answer(): BackupsAnswer;
  /** Begins one, unless one is under way. */
  start(): void;
};

/** How large things are on the disk of the record, bytes. */
export type DiskRoom = () => {
  readonly databaseBytes: number;
  readonly walBytes: number;
  readonly freeBytes: number;
};
