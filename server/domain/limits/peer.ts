/** The other end of a connection, which is one of a kind while it is open; the same for what is decrypted from it. */
export function peerOf(socket: {
  readonly remoteAddress?: string | undefined;
  readonly remotePort?: number | undefined;
}): string {
  return `${socket.remoteAddress} ${socket.remotePort}`;
}
