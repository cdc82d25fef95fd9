/** Version of the messages at /live; a page that meets another version reloads itself. */
export const LIVE_VERSION = 1;
/** Code with which the feed closes on who may no longer listen (4000 to 4999 are ours, RFC 6455 section 7.4.2). */
export const LIVE_NO_LONGER = 4401;
