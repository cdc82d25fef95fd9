import type { DiaryEntry } from '../../shared/wire/cuttings/diary.ts';
import { upload } from '../api.ts';
import { may } from '../settings/access.ts';
import { sizeWithin } from './picture-size.ts';

/** Longest side of a small picture, px: twice what the list shows, for screens of fine grain. */
const SIDE_PX = 320;
const QUALITY = 0.8;
/** A picture up to this side is small enough as it is, px. */
const SMALL_ENOUGH_PX = 2 * SIDE_PX;

/** Entries whose small picture was sent from this page already. */
const sent = new Set<string>();

/** A picture in small, as a JPEG, as it is seen: turned as its camera says. @returns null where the browser cannot */
function smallOf(picture: CanvasImageSource, size: { width: number; height: number }): Promise<Blob | null> {
  const canvas = document.createElement('canvas');
  Object.assign(canvas, sizeWithin(size, SIDE_PX));
  const context = canvas.getContext('2d');
  if (!context) return Promise.resolve(null);
  // a JPEG has no transparency
  context.fillStyle = '#fff';
  context.fillRect(0, 0, canvas.width, canvas.height);
  context.drawImage(picture, 0, 0, canvas.width, canvas.height);
  return new Promise((done) => canvas.toBlob(done, 'image/jpeg', QUALITY));
}

/** Keeps a small picture with its entry; a failure leaves the photo to be shown whole, as before. */
async function keep(id: string, small: Blob | null): Promise<void> {
  if (small === null || sent.has(id) || !may('keepDiaryThumbnail')) return;
  sent.add(id);
  await upload('keepDiaryThumbnail', { params: { id } }, small).catch(() => undefined);
}

/** The small picture of a photo that was just sent, made of its file: so that it need not be fetched again whole. */
export async function keepSmallOfFile({ id }: Pick<DiaryEntry, 'id'>, file: Blob): Promise<void> {
  const bitmap = await createImageBitmap(file).catch(() => null);
  if (bitmap === null) return;
  if (Math.max(bitmap.width, bitmap.height) > SMALL_ENOUGH_PX) await keep(id, await smallOf(bitmap, bitmap));
  bitmap.close();
}

/** Once a photo was shown whole, as it has no small picture yet, one is made of it. */
export async function keepSmallOf({ id }: Pick<DiaryEntry, 'id'>, image: HTMLImageElement): Promise<void> {
  const size = { width: image.naturalWidth, height: image.naturalHeight };
  if (Math.max(size.width, size.height) <= SMALL_ENOUGH_PX || sent.has(id)) return;
  await keep(id, await smallOf(image, size));
}
