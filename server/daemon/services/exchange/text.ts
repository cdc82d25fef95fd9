import { Fault } from '../../../../shared/faults.ts';

/**
 * Turns the bytes of a file, cut anywhere, into text: UTF-8, or UTF-16 where a byte-order mark says so.
 * @throws Fault `bad-request` for bytes that are neither
 */
export function createTextDecoder() {
  let decoder: TextDecoder | null = null;
  const read = (decode: (decoder: TextDecoder) => string): string => {
    try {
      return decoder ? decode(decoder) : '';
    } catch (cause) {
      const message =
        'The file is not UTF-8 text. Save it as UTF-8 (in a spreadsheet: "CSV UTF-8") and try again.';
      throw new Fault({ code: 'bad-request', message, cause });
    }
  };
  return {
    push(piece: Uint8Array): string {
      if (piece.length === 0) return '';
      decoder ??= new TextDecoder(encodingOf(piece), { fatal: true });
      return read((open) => open.decode(piece, { stream: true }));
    },
    end: () => read((open) => open.decode()),
  };
}

function encodingOf([first, second]: Uint8Array): string {
  if (first === 0xff && second === 0xfe) return 'utf-16le';
  return first === 0xfe && second === 0xff ? 'utf-16be' : 'utf-8';
}
