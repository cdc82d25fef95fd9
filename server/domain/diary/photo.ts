/** What a photo may be. */
type PhotoType = 'jpg' | 'png';

const STARTS: Readonly<Record<PhotoType, readonly number[]>> = {
  jpg: [0xff, 0xd8, 0xff],
  png: [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a],
};
const MEDIA_TYPES: Readonly<Record<PhotoType, string>> = { jpg: 'image/jpeg', png: 'image/png' };

/**
 * What a photo is by its first bytes, whatever its name or the sender says.
 * @returns null for anything else
 * @source [ITU-T81] B.1.1.3, [RFC2083] section 3.1
 * @example photoType(Uint8Array.of(0xff, 0xd8, 0xff, 0xe0)) // 'jpg'
 */
export function photoType(bytes: Uint8Array): PhotoType | null {
  const found = (['jpg', 'png'] as const).find((type) => STARTS[type].every((byte, i) => bytes[i] === byte));
  return found ?? null;
}

/** The media type of a photo by its name beside the record. */
export function mediaTypeOf(name: string): string {
  return MEDIA_TYPES[name.endsWith('.png') ? 'png' : 'jpg'];
}
