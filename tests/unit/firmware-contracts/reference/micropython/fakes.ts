/*
 * What a board has and an interpreter in WebAssembly has not: pins, a network, a watchdog, and time that passes when it
 * is waited for. As modules of MicroPython, which go before its own of the same name.
 */

/** The time of the board; nobody waits for real. */
const TIME = `
ms = 1780300800000
def time(): return ms // 1000
def sleep_ms(n):
    global ms
    ms += n
def gmtime(s=None): return (1970 + (ms // 1000 if s is None else s) // 31556952,)
`;

/** Pins and buses, with what their chips answer. */
const MACHINE = `
levels = {}
answers = {}
fed = 0
slept = []
class Pin:
    IN, PULL_UP = 0, 1
    def __init__(self, number, *_): self.number = number
    def value(self): return levels.get(self.number, 1)
class I2C:
    def __init__(self, *_, **__): pass
    def writeto(self, address, data):
        if address not in answers: raise OSError(19)
    def readfrom(self, address, count): return answers[address][:count]
class WDT:
    def __init__(self, timeout): pass
    def feed(self):
        global fed
        fed += 1
def deepsleep(ms): slept.append(ms)
`;

const NETWORK = `
STA_IF = 0
away = False
joins = 0
class WLAN:
    up = False
    def __init__(self, *_): pass
    def active(self, on): pass
    def connect(self, name, password):
        global joins
        joins += 1
        WLAN.up = not away
    def disconnect(self): WLAN.up = False
    def isconnected(self): return WLAN.up
    def status(self, what): return -61
`;

/** A broker at the other end of each socket: it takes what the client sends, and answers it. */
const SOCKET = `
away = False
silent = False
connects = []
published = []
def getaddrinfo(host, port): return [(0, 0, 0, '', (host, port))]
class socket:
    def __init__(self): self.inbox, self.outbox = b'', b''
    def settimeout(self, s): pass
    def connect(self, where):
        if away: raise OSError(113)
    def close(self): pass
    def read(self, count):
        if away: raise OSError(104)
        data, self.outbox = self.outbox[:count], self.outbox[count:]
        return data
    def write(self, data):
        if away: raise OSError(32)
        self.inbox += data
        self.take()
        return len(data)
    def take(self):
        while len(self.inbox) > 1:
            length, at, shift = 0, 1, 0
            while True:
                byte = self.inbox[at]
                length |= (byte & 127) << shift
                at, shift = at + 1, shift + 7
                if byte < 128: break
            if len(self.inbox) < at + length: return
            head, body = self.inbox[0], self.inbox[at:at + length]
            self.inbox = self.inbox[at + length:]
            if head == 0x10:
                connects.append(body)
                self.outbox += b'\\x20\\x02\\x00\\x00'
            elif head & 0xF0 == 0x30:
                size = body[0] << 8 | body[1]
                number = body[2 + size:4 + size]
                if silent: return
                published.append((body[2:2 + size].decode(), body[4 + size:].decode(), head & 1))
                self.outbox += b'\\x40\\x02' + number
`;

const ONE_WIRE = 'class OneWire:\n    def __init__(self, pin): pass\n';
const DS18X20 = `
celsius = 22.5
class DS18X20:
    def __init__(self, line): pass
    def scan(self): return [b'rom']
    def convert_temp(self): pass
    def read_temp(self, rom): return celsius
`;
const DHT = `
fails = False
class DHT22:
    def __init__(self, pin): pass
    def measure(self):
        if fails: raise OSError(110)
    def temperature(self): return 19.5
    def humidity(self): return 77.5
`;
const NTP = 'def settime(): pass\n';

/** The fakes by the names of their files. */
export const FAKES: Readonly<Record<string, string>> = {
  'time.py': TIME,
  'machine.py': MACHINE,
  'network.py': NETWORK,
  'socket.py': SOCKET,
  'onewire.py': ONE_WIRE,
  'ds18x20.py': DS18X20,
  'dht.py': DHT,
  'ntptime.py': NTP,
};
