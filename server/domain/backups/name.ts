const NAME = /^strikewell-(\d{4})(\d{2})(\d{2})T(\d{2})(\d{2})(\d{2})Z\.db$/;
const PARTIAL = /^(strikewell-\d{8}T\d{6}Z\.db)\.(\d+)\.partial$/;

/**
 * An instant as it stands in the names of files: RFC 3339 in its basic form, UTC, whole seconds.
 * @param atMs ms since epoch
 */
export function stampOf(atMs: number): string {
  return `${new Date(atMs).toISOString().slice(0, 19).replaceAll(/[-:]/g, '')}Z`;
}

/**
 * The name of a finished backup begun at an instant.
 * @param atMs ms since epoch; the name holds whole seconds
 */
export function backupName(atMs: number): string {
  return `strikewell-${stampOf(atMs)}.db`;
}

/**
 * When a backup was begun, by its name.
 * @returns ms since epoch, or null for a file that is no finished backup
 */
export function backupTimeMs(name: string): number | null {
  const [whole, year, month, day, hour, minute, second] = NAME.exec(name) ?? [];
  if (whole === undefined) return null;
  const atMs = Date.parse(`${year}-${month}-${day}T${hour}:${minute}:${second}Z`);
  return Number.isNaN(atMs) || backupName(atMs) !== name ? null : atMs;
}

/**
 * The name under which a backup is written until it is proved good.
 * @param pid the process that writes it: it distinguishes what a dead one left from what a living one writes
 */
export function partialName({ name, pid }: { name: string; pid: number }): string {
  return `${name}.${pid}.partial`;
}

/**
 * What an unfinished backup would become, and who writes it.
 * @returns null for any other file
 */
export function partialOf(file: string): { readonly name: string; readonly pid: number } | null {
  const [whole, name = '', pid = ''] = PARTIAL.exec(file) ?? [];
  return whole === undefined || backupTimeMs(name) === null ? null : { name, pid: Number(pid) };
}
