# MQTT 3.1.1, as far as a node needs it: CONNECT with login and Will, PUBLISH at QoS 1 that waits for its PUBACK.
# The same file runs on a desktop Python, where it is tested against real brokers.
import struct

TIMEOUT_S = 6  # below the watchdog of the smallest board

# what a broker says where it takes nobody: CONNACK, MQTT 3.1.1 section 3.2.2.3
REFUSALS = {1: "it does not speak MQTT 3.1.1", 2: "this name is another device's", 4: "wrong secret", 5: "not allowed"}


class Refused(OSError):
    pass


def text(words):
    data = words if isinstance(words, bytes) else words.encode()
    return struct.pack("!H", len(data)) + data


def packet(head, body):
    """A packet with its remaining length, seven bits a byte: section 2.2.3."""
    length = bytearray()
    rest = len(body)
    while True:
        length.append(rest & 0x7F | (0x80 if rest > 0x7F else 0))
        rest >>= 7
        if not rest:
            return bytes([head]) + bytes(length) + body


def open_stream(host, port, authority=None):
    """A connection; encrypted where there is a certificate (DER) of the authority that must have signed the broker's."""
    import socket

    plain = socket.socket()
    plain.settimeout(TIMEOUT_S)
    try:
        plain.connect(socket.getaddrinfo(host, port)[0][-1])
        if authority is None:
            return plain if hasattr(plain, "write") else plain.makefile("rwb", 0)
        import ssl

        context = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
        context.verify_mode = ssl.CERT_REQUIRED
        context.load_verify_locations(cadata=authority)
        return context.wrap_socket(plain, server_hostname=host)
    except Exception:
        plain.close()
        raise


class Client:
    def __init__(self, stream, keep_alive_s=60):
        self.stream = stream
        self.keep_alive_s = keep_alive_s
        self.number = 0

    def connect(self, device, secret, will_topic, will):
        """A clean session under the device's name, with a retained Will."""
        flags = 0x02 | 0x04 | 1 << 3 | 0x20  # clean, Will at QoS 1, retained
        if secret:
            flags |= 0xC0
        body = text("MQTT") + bytes([4, flags]) + struct.pack("!H", self.keep_alive_s)
        body += text(device) + text(will_topic) + text(will)
        if secret:
            body += text(device) + text(secret)
        self.send(packet(0x10, body))
        _, answer = self.receive(0x20)
        if answer[1]:
            raise Refused("the broker refuses: " + REFUSALS.get(answer[1], str(answer[1])))

    def publish(self, topic, payload, retain=False):
        """Returns once the broker has acknowledged: with Strikewell's own broker, it is on its disk then."""
        self.number = self.number % 65535 + 1
        mine = struct.pack("!H", self.number)
        self.send(packet(0x32 | (1 if retain else 0), text(topic) + mine + payload))
        while self.receive(0x40)[1] != mine:
            pass  # of an earlier one, whose time was over

    def close(self, politely=True):
        """Politely: the broker keeps the Will to itself."""
        try:
            if politely:
                self.send(b"\xe0\x00")
        except OSError:
            pass
        self.stream.close()

    def receive(self, wanted):
        """The next packet of a kind; others are passed over, as nothing is subscribed to."""
        while True:
            head = self.exactly(1)[0]
            length = shift = 0
            while True:
                byte = self.exactly(1)[0]
                length |= (byte & 0x7F) << shift
                shift += 7
                if byte < 0x80:
                    break
            body = self.exactly(length)
            if head & 0xF0 == wanted:
                return head, body

    def exactly(self, count):
        data = b""
        while len(data) < count:
            more = self.stream.read(count - len(data))
            if not more:
                raise OSError("the connection ended, or nothing came in time")
            data += more
        return data

    def send(self, data):
        while data:
            sent = self.stream.write(data)
            if not sent:
                raise OSError("the connection takes nothing")
            data = data[sent:]
