import { act, get, id, type Json, query } from './openapi-parts.ts';

const device = { name: 'device', in: 'path', required: true, schema: { type: 'string' } };

/** A list is answered whole unless `limit` is given; `next` of an answer is the `cursor` of the next question. */
export const paging: Json[] = [
  query('limit', { type: 'integer', minimum: 1, maximum: 1_000 }),
  query('cursor', { type: 'string' }),
];

const removal = (what: string): { archive: Json; contents: Json; delete: Json } => ({
  archive: act(`Archive ${what}: it is not judged and not listed until it is restored`, null),
  contents: get(`What goes when ${what} is archived or deleted`),
  delete: act(`Delete ${what}: it can be restored for 30 days, then it is removed for good`, null),
});

const [place, probe, ofDevice] = [removal('a place'), removal('a probe'), removal('a device')];

/** Deletes under paths that are described elsewhere too. */
export const deletes = { place: place.delete, device: ofDevice.delete };

/** Devices that wait, the archive, and the ways into it. */
export const lifecyclePaths: Json = {
  '/api/v1/waiting': {
    get: get('New devices that wait to be accepted, those that were ignored, and what was dropped'),
  },
  '/api/v1/waiting/{device}/accept': {
    parameters: [device],
    post: act('Accept a device: what it sent meanwhile is stored in one go', null),
  },
  '/api/v1/waiting/{device}/ignore': {
    parameters: [device],
    post: act('Ignore a device: its packs are counted and not kept', null, 204),
  },
  '/api/v1/waiting/{device}/restore': {
    parameters: [device],
    post: act('Put an ignored device back on the list', null, 204),
  },
  '/api/v1/archive': { get: get('What was archived or deleted, and until when it can be restored', paging) },
  '/api/v1/archive/{id}': {
    parameters: [id, query('now', { type: 'boolean', default: false })],
    delete: act('Delete what is archived; with now=true remove it for good at once', null),
  },
  '/api/v1/archive/{id}/restore': {
    parameters: [id],
    post: act('Restore it with its record; its alarms are as they were', null, 204),
  },
  '/api/v1/places/{id}/contents': { parameters: [id], get: place.contents },
  '/api/v1/places/{id}/archive': { parameters: [id], post: place.archive },
  '/api/v1/probes/{id}': { parameters: [id], delete: probe.delete },
  '/api/v1/probes/{id}/contents': { parameters: [id], get: probe.contents },
  '/api/v1/probes/{id}/archive': { parameters: [id], post: probe.archive },
  '/api/v1/devices/{device}/contents': { parameters: [device], get: ofDevice.contents },
  '/api/v1/devices/{device}/archive': { parameters: [device], post: ofDevice.archive },
};
