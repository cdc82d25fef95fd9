/** Longest topic or filter, in bytes of UTF-8. @source MQTT 5.0 section 4.7.3 */
const MAX_FILTER_BYTES = 65_535;
/** What the contract keeps for itself. */
const CONTRACT_FILTER = 'strikewell/1/+/#';
const CONTRACT_ROOT = 'strikewell/1/';

/**
 * Why a text is no topic filter, in words that end a sentence; null when it is one.
 * @source MQTT 5.0 sections 4.7.1 and 4.7.3
 */
function filterFault(filter: string): string | null {
  if (filter === '') return 'is empty';
  if (filter.includes('\0') || !filter.isWellFormed()) return 'holds a character that no topic may hold';
  if (new TextEncoder().encode(filter).length > MAX_FILTER_BYTES) return 'is longer than 65535 bytes';
  const levels = filter.split('/');
  if (levels.some((level) => level.length > 1 && /[+#]/.test(level)))
    return 'has a + or # beside other characters; each stands alone between two "/"';
  if (levels.slice(0, -1).includes('#')) return 'has a # before its end';
  return null;
}

/**
 * Why a filter cannot be read by mappings: it is none, or takes in topics that are not for them.
 * @returns words that end a sentence, or null
 */
export function foreignFilterFault(filter: string): string | null {
  const fault = filterFault(filter);
  if (fault !== null) return fault;
  if (filter.startsWith('$')) return 'begins with $: such topics belong to the broker';
  if (!filtersOverlap(filter, CONTRACT_FILTER)) return null;
  return 'takes in the topics of strikewell/1/, whose messages are read as they are; name the first level of the other device’s topic';
}

/** Whether a topic is one of the contract, which no mapping reads. */
export function isContractTopic(topic: string): boolean {
  return topic.startsWith(CONTRACT_ROOT);
}

/**
 * Whether a topic fits a filter. Topics that begin with $ fit no filter that begins with a wildcard.
 * @source MQTT 5.0 sections 4.7.1.2, 4.7.1.3 and 4.7.2
 */
export function topicFits(filter: string, topic: string): boolean {
  if (topic.startsWith('$') && /^[+#]/.test(filter)) return false;
  const levels = topic.split('/');
  const wanted = filter.split('/');
  for (const [index, level] of wanted.entries()) {
    if (level === '#') return true;
    if (index >= levels.length || (level !== '+' && level !== levels[index])) return false;
  }
  return wanted.length === levels.length;
}

/** Whether some topic fits both filters. */
export function filtersOverlap(one: string, other: string): boolean {
  const [a, b] = [one.split('/'), other.split('/')];
  for (let index = 0; ; index++) {
    const [left, right] = [a[index], b[index]];
    if (left === '#' || right === '#') return true;
    if (left === undefined || right === undefined) return left === right;
    if (left !== '+' && right !== '+' && left !== right) return false;
  }
}
