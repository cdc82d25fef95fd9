/** Plain JavaScript for old Nodes to parse: says in one line that this Node will not do, or null when it will. */
export function nodeComplaint(version) {
  const parts = version.split('.').map(Number);
  const fits = parts[0] > 22 || (parts[0] === 22 && parts[1] >= 18);
  if (fits) return null;
  return `Strikewell needs Node 22.18 or newer, and this is Node ${version}: run "npm ci", which brings Node 24 on Linux, and start it through npm; elsewhere install Node 24.`;
}
