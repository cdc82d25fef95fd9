import { createOutgoing } from '../../server/adapters/notify/outgoing.ts';

/** Sends requests to whatever address, as before there is an owner password. */
export const anywhere = createOutgoing(() => false);

/** A signal that never comes. */
export const noSignal = new AbortController().signal;
