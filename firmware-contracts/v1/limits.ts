/** Largest payload of a readings message, in bytes. */
export const MAX_PAYLOAD_BYTES = 65_536;

/** Most records in one pack. */
export const MAX_RECORDS = 500;

/** How far ahead of its arrival a reading may be timed, in ms: clocks drift, but no sensor reads tomorrow. */
export const MAX_FUTURE_MS = 300_000;

/** `bt` + `t` below this many seconds is relative to arrival. @source [RFC8428] section 4.5.3 */
export const RELATIVE_TIME_BELOW_S = 2 ** 28;

/** Newest SenML version understood, also the one meant when `bver` is absent. @source [RFC8428] section 4.1 */
export const SENML_VERSION = 10;

/** A device's name: 1 to 64 characters; not `.` or `..`, which no address of a page could hold. */
export const DEVICE_NAME = /^(?!\.{1,2}$)[A-Za-z0-9_.-]{1,64}$/;

/** Most characters in a probe's name. */
export const MAX_PROBE_NAME_CHARS = 96;
