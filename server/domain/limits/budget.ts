import type { Limits } from './table.ts';

/** Descriptors the process has, and how many were open before any door was opened. */
type Descriptors = { readonly most: number; readonly inUse: number };

/**
 * Descriptors that no connection from outside may take: the record and its log, a backup (two files and a
 * directory), a mail, two webhooks, two push services, a name server, the outside broker twice and a file of the page.
 */
export const KEPT_DESCRIPTORS = 20;
/** With fewer there is one place each, and the rest is refused. */
const LEAST = 4;
/** Of what is left the broker has three parts, the page two. */
const [BROKER_PARTS, PAGE_PARTS] = [3, 2];
/** Of the broker's places one quarter is for who has not logged in yet. */
const PENDING_SHARE = 1 / 4;

/**
 * The limits on connections, lowered where the process was given few file descriptors: newcomers are refused before
 * descriptors run out, so that who is connected, the record and messages to people never miss one.
 * @param descriptors null where the system does not say
 */
export function withinBudget(limits: Limits, descriptors: Descriptors | null): Limits {
  if (descriptors === null) return limits;
  const free = Math.max(0, descriptors.most - descriptors.inUse - KEPT_DESCRIPTORS);
  const parts = BROKER_PARTS + PAGE_PARTS;
  const broker = Math.max(LEAST, Math.floor((free * BROKER_PARTS) / parts));
  const page = Math.max(LEAST, Math.floor((free * PAGE_PARTS) / parts));
  const pending = Math.max(2, Math.floor(broker * PENDING_SHARE));
  const clients = Math.max(2, broker - pending);
  const least = (name: keyof Limits, most: number) => Math.min(limits[name], Math.max(1, Math.floor(most)));
  return {
    ...limits,
    mqttPendingInAll: least('mqttPendingInAll', pending),
    mqttPendingPerAddress: least('mqttPendingPerAddress', pending),
    mqttClientsInAll: least('mqttClientsInAll', clients),
    mqttSharedClientsInAll: least('mqttSharedClientsInAll', clients * 0.6),
    mqttSharedClientsPerAddress: least('mqttSharedClientsPerAddress', clients * 0.6),
    httpConnectionsInAll: least('httpConnectionsInAll', page),
    httpConnectionsPerAddress: least('httpConnectionsPerAddress', page),
    pagesInAll: least('pagesInAll', page / 2),
    pagesKeptForOwner: least('pagesKeptForOwner', page / 8),
  };
}
