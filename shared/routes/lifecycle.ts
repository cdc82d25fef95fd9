import { z } from 'zod';
import {
  acceptedDeviceSchema,
  archiveAnswerSchema,
  archiveContentsSchema,
  archiveItemViewSchema,
  waitingAnswerSchema,
} from '../wire/lifecycle.ts';
import { flagSchema, numberedSchema, paging } from './parameters.ts';
import type { Routes } from './route.ts';

const item = { id: numberedSchema('GET /api/v1/archive lists what is in the archive by number.') };
const probe = { id: numberedSchema('GET /api/v1/probes lists probes by number.') };

const archiving = (what: string) => `Archive ${what}: it is not judged and not listed until it is restored`;
const deleting = (what: string) =>
  `Delete ${what}: it can be restored for 30 days, then it is removed for good`;
const contents = (what: string) => `What goes when ${what} is archived or deleted`;

/** Devices that wait to be accepted. */
export const WAITING_ROUTES = {
  'get /api/v1/waiting': {
    id: 'listWaiting',
    role: 'look',
    summary: 'New devices that wait to be accepted, those that were ignored, and what was dropped',
    answer: waitingAnswerSchema,
  },
  'post /api/v1/waiting/{device}/accept': {
    id: 'acceptDevice',
    role: 'tend',
    summary: 'Accept a device: what it sent meanwhile is stored in one go',
    answer: acceptedDeviceSchema,
  },
  'post /api/v1/waiting/{device}/ignore': {
    id: 'ignoreDevice',
    role: 'tend',
    summary: 'Ignore a device: its packs are counted and not kept',
  },
  'post /api/v1/waiting/{device}/restore': {
    id: 'unignoreDevice',
    role: 'tend',
    summary: 'Put an ignored device back on the list',
  },
} as const satisfies Routes;

/** The archive, and the ways into it: what stops a watch, or takes a record away, is for who owns the installation. */
export const ARCHIVE_ROUTES = {
  'get /api/v1/archive': {
    id: 'listArchive',
    role: 'look',
    summary: 'What was archived or deleted, and until when it can be restored',
    query: z.object(paging),
    answer: archiveAnswerSchema,
  },
  'post /api/v1/archive/{id}/restore': {
    id: 'restoreArchived',
    role: 'own',
    summary: 'Restore it with its record; its alarms are as they were',
    params: item,
  },
  'delete /api/v1/archive/{id}': {
    id: 'deleteArchived',
    role: 'own',
    summary: 'Delete what is archived; with now=true remove it for good at once',
    params: item,
    query: z.object({ now: flagSchema.optional().catch(false) }),
    answer: archiveItemViewSchema,
  },
  'get /api/v1/places/{id}/contents': {
    id: 'getPlaceContents',
    role: 'own',
    summary: contents('a place'),
    answer: archiveContentsSchema,
  },
  'post /api/v1/places/{id}/archive': {
    id: 'archivePlace',
    role: 'own',
    summary: archiving('a place'),
    answer: archiveItemViewSchema,
  },
  'delete /api/v1/places/{id}': {
    id: 'deletePlace',
    role: 'own',
    summary: deleting('a place'),
    answer: archiveItemViewSchema,
  },
  'get /api/v1/probes/{id}/contents': {
    id: 'getProbeContents',
    role: 'own',
    summary: contents('a probe'),
    params: probe,
    answer: archiveContentsSchema,
  },
  'post /api/v1/probes/{id}/archive': {
    id: 'archiveProbe',
    role: 'own',
    summary: archiving('a probe'),
    params: probe,
    answer: archiveItemViewSchema,
  },
  'delete /api/v1/probes/{id}': {
    id: 'deleteProbe',
    role: 'own',
    summary: deleting('a probe'),
    params: probe,
    answer: archiveItemViewSchema,
  },
  'get /api/v1/devices/{device}/contents': {
    id: 'getDeviceContents',
    role: 'own',
    summary: contents('a device'),
    answer: archiveContentsSchema,
  },
  'post /api/v1/devices/{device}/archive': {
    id: 'archiveDevice',
    role: 'own',
    summary: archiving('a device'),
    answer: archiveItemViewSchema,
  },
  'delete /api/v1/devices/{device}': {
    id: 'deleteDevice',
    role: 'own',
    summary: deleting('a device'),
    answer: archiveItemViewSchema,
  },
} as const satisfies Routes;
