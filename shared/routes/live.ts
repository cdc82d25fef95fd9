import { z } from 'zod';
import { liveMessageSchema } from '../wire/live.ts';
import type { Routes } from './route.ts';

/** The live feed. */
export const LIVE_ROUTES = {
  'get /live': {
    id: 'openLive',
    role: 'look',
    summary: 'The live feed, a websocket: the state, then each change of it; parts=1 for the state in parts',
    query: z.object({ parts: z.enum(['1']).optional() }),
    frames: liveMessageSchema,
  },
} as const satisfies Routes;
