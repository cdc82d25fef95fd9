import { expect, test } from 'vitest';
import { brokerEndpoint, firstPackCommand } from '../../../../web/devices/broker.ts';

// 1883 and 8883 are the ports registered for MQTT without and with TLS (IANA service names and ports).
test.each([
  ['mqtt://127.0.0.1:8462', '127.0.0.1', 8462, false],
  ['mqtt://broker.example', 'broker.example', 1883, false],
  ['mqtts://broker.example/', 'broker.example', 8883, true],
  ['mqtt://grower@broker.example:1884', 'broker.example', 1884, false],
  ['mqtt://[::1]:1883', '::1', 1883, false],
  ['127.0.0.1:1883', '127.0.0.1', 1883, false],
])('%s is host %s, port %i', (address, host, port, secure) => {
  expect(brokerEndpoint(address)).toEqual({ host, port, secure });
});

test('the first pack is sent to the broker in use, QoS 1, as the device sill, with 3 readings', () => {
  const pack =
    '[{"n":"air/temperature","u":"Cel","v":21.4},{"n":"air/humidity","u":"%RH","v":88},{"n":"root/temperature","u":"Cel","v":22.8}]';
  expect(firstPackCommand('mqtt://127.0.0.1:1883')).toBe(
    `mosquitto_pub -h 127.0.0.1 -p 1883 -q 1 -t strikewell/1/sill/readings -m '${pack}'`,
  );
});
