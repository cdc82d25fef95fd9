import type { Keep, Log } from '../../ports.ts';

/** Notes of which those that cannot be written are held in memory, and written once they can be. */
export type HeldNotes = Keep & { turn(): void };

/** Makes notes that never throw for a disk that accepts nothing. */
export function heldNotes(keep: Keep, log: Log): HeldNotes {
  /** null for one that is to be removed */
  const held = new Map<string, string | null>();
  const tryOn = (name: string, text: string | null) => {
    try {
      if (text === null) keep.remove(name);
      else keep.write(name, text);
      held.delete(name);
    } catch (cause) {
      if (!held.has(name)) log.warn('a note is held in memory for now', { name, error: String(cause) });
      held.set(name, text);
    }
  };
  return {
    read(name) {
      const text = held.get(name);
      return text === undefined ? keep.read(name) : text;
    },
    write: tryOn,
    remove: (name) => tryOn(name, null),
    turn() {
      for (const [name, text] of held) tryOn(name, text);
    },
  };
}
