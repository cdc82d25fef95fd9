/** Stored bytes that are not what was once written: cut off, altered, or of a format this program does not read. */
export class BlockDamaged extends Error {
  override readonly name = 'BlockDamaged';
}
