export type BrokerEndpoint = { readonly host: string; readonly port: number; readonly secure: boolean };

/** Host and port of a broker's address, which may be a URL or `host:port`. */
export function brokerEndpoint(address: string): BrokerEndpoint {
  const scheme = /^([a-z]+):\/\//i.exec(address)?.[1]?.toLowerCase() ?? 'mqtt';
  const secure = scheme === 'mqtts';
  const rest = address
    .replace(/^[a-z]+:\/\//i, '')
    .replace(/^[^@/]*@/, '')
    .replace(/\/.*$/, '');
  const [, bracketed, plain, port] = /^(?:\[([^\]]+)\]|([^:]*))(?::(\d+))?$/.exec(rest) ?? [];
  return { host: bracketed ?? plain ?? rest, port: Number(port ?? (secure ? 8883 : 1883)), secure };
}

/** The command that sends a first pack of three readings as the device `sill`. */
export function firstPackCommand(address: string): string {
  const { host, port, secure } = brokerEndpoint(address);
  const pack = [
    { n: 'air/temperature', u: 'Cel', v: 21.4 },
    { n: 'air/humidity', u: '%RH', v: 88 },
    { n: 'root/temperature', u: 'Cel', v: 22.8 },
  ];
  const tls = secure ? ' --tls-use-os-certs' : '';
  return `mosquitto_pub -h ${host} -p ${port}${tls} -q 1 -t strikewell/1/sill/readings -m '${JSON.stringify(pack)}'`;
}
