import type { IncomingMessage } from 'node:http';
import type { Request, Response } from 'express';
import { Fault } from '../../../../../shared/faults.ts';
import { MAX_PHOTO_BYTES, MAX_THUMBNAIL_BYTES } from '../../../../../shared/model/cuttings/diary.ts';
import type { DIARY_ROUTES, PHOTO_ROUTES } from '../../../../../shared/routes/cuttings/diary.ts';
import type { DiaryService } from '../../../../ports.ts';
import { textIn, writeCursor } from '../../paging.ts';
import type { Handlers } from '../../router.ts';
import type { KeepOpen } from '../exchange.ts';

type DiaryRouteDeps = {
  readonly diary: DiaryService;
  readonly nameOf: (request: Request) => string | null;
};

/** Most entries of one answer. */
const MOST_LISTED = 1_000;
/** Most photos that are read at once; further ones wait, unread. */
const MOST_READ = 3;

/** The diary of places and batches. */
export function diaryHandlers({ diary, nameOf }: DiaryRouteDeps): Handlers<typeof DIARY_ROUTES> {
  return {
    'get /api/v1/diary': ({ query }) => {
      const { placeId = null, batchId = null, from = null, to = null, cursor, limit = MOST_LISTED } = query;
      const after = cursor === undefined ? null : textIn(cursor);
      const deleted = query.state === 'deleted';
      const page = diary.list({ placeId, batchId, fromMs: from, toMs: to, deleted, limit, after });
      return { entries: page.entries, next: page.next === null ? null : writeCursor(page.next) };
    },
    'post /api/v1/diary': ({ body, request }) => {
      const { kind, placeId = null, batchId = null, at = null, note = null } = body;
      return diary.add({ kind, placeId, batchId, atMs: at, note, by: nameOf(request) });
    },
    'get /api/v1/diary/{id}': ({ params: { id } }) => diary.get(id),
    'patch /api/v1/diary/{id}': ({ params: { id }, body }) =>
      diary.change(id, { atMs: body.at, note: body.note }),
    'delete /api/v1/diary/{id}': ({ params: { id } }) => diary.remove(id),
    'post /api/v1/diary/{id}/restore': ({ params: { id } }) => diary.restore(id),
    'get /api/v1/diary/{id}/photo': async ({ params: { id }, response }) => {
      const { bytes, mediaType } = await diary.photo(id);
      // it never changes; who is signed out must not find it with others
      send(response, { bytes, mediaType, cacheControl: 'private, max-age=86400' });
    },
    'get /api/v1/diary/{id}/thumbnail': async ({ params: { id }, response }) => {
      const { bytes, mediaType, isWhole } = await diary.thumbnail(id);
      const cacheControl = isWhole ? 'no-store' : 'private, max-age=86400';
      send(response, { bytes, mediaType, cacheControl });
    },
  };
}

type Picture = { readonly bytes: Uint8Array; readonly mediaType: string; readonly cacheControl: string };

function send(response: Response, { bytes, mediaType, cacheControl }: Picture): void {
  response.set({
    'content-type': mediaType,
    'content-length': String(bytes.length),
    'cache-control': cacheControl,
    'content-security-policy': "default-src 'none'; sandbox",
  });
  response.end(bytes);
}

/** Photos as they come in. */
export function photoHandlers({
  diary,
  nameOf,
  keepOpen,
}: DiaryRouteDeps & { readonly keepOpen: KeepOpen }): Handlers<typeof PHOTO_ROUTES> {
  const turn = inTurns(MOST_READ);
  return {
    'post /api/v1/diary/photo': async ({ query, request, response }) => {
      const { placeId = null, batchId = null, at = null, note = null } = query;
      requireLength(Number(request.headers['content-length']));
      keepOpen(request, response);
      const by = nameOf(request);
      try {
        return await turn(async () =>
          diary.addPhoto({ placeId, batchId, atMs: at, note, by }, await bytesOf(request)),
        );
      } finally {
        request.resume();
      }
    },
    'put /api/v1/diary/{id}/thumbnail': async ({ params: { id }, request }) => {
      try {
        await diary.keepThumbnail(id, await bytesOf(request, MAX_THUMBNAIL_BYTES));
      } finally {
        request.resume();
      }
    },
  };
}

function requireLength(bytes: number, most = MAX_PHOTO_BYTES): void {
  if (bytes <= most) return;
  const words = most === MAX_PHOTO_BYTES ? 'A photo may have 8 MB' : 'A small picture may have 64 KiB';
  throw new Fault({ code: 'photo-too-large', message: `${words} at most.` });
}

/** All of a body, read no further than a picture may be long. @param most bytes */
async function bytesOf(request: IncomingMessage, most = MAX_PHOTO_BYTES): Promise<Uint8Array> {
  const chunks: Buffer[] = [];
  let length = 0;
  // the answer goes out on the same connection
  for await (const chunk of request.iterator({ destroyOnReturn: false })) {
    chunks.push(chunk as Buffer);
    length += (chunk as Buffer).length;
    requireLength(length, most);
  }
  return Buffer.concat(chunks);
}

/** Does so many things at once, the others after them. */
function inTurns(most: number) {
  let running = 0;
  const waiting: (() => void)[] = [];
  return async <T>(work: () => Promise<T>): Promise<T> => {
    if (running >= most) await new Promise<void>((resolve) => void waiting.push(resolve));
    running += 1;
    try {
      return await work();
    } finally {
      running -= 1;
      waiting.shift()?.();
    }
  };
}
