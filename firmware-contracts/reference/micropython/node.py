# A node: reads its sensors, keeps what it read until it is acknowledged, and says how it is.
import json
import random
import time

import drivers
import mqtt
from ring import Ring

FIRMWARE = "micropython-1"
# units and accepted ranges of the contract; a value beyond is a sensor that failed
KNOWN = {
    "temperature": ("Cel", -150, 150),
    "humidity": ("%RH", 0, 105),
    "illuminance": ("lx", 0, 200000),
    "valve": (None, 0, 1),
}
WATCH_MS = 100  # how often a contact is looked at
MOST_WAIT_S = 60
PACK = 100  # readings a pack, so that it stays small in memory
LEAST_YEAR = 2024
EPOCH_S = 946684800 if time.gmtime(0)[0] == 2000 else 0


def quantity(probe):
    return KNOWN[probe.split("/")[1]]


def now_s():
    """Seconds since 1970, or None while the clock is not set."""
    return time.time() + EPOCH_S if time.gmtime()[0] >= LEAST_YEAR else None


class Node:
    def __init__(self, settings, board, ring=None):
        self.settings, self.board = settings, board
        self.ring = Ring() if ring is None else ring
        self.sensors, self.contacts = [], []
        for entry in settings["sensors"]:
            read = drivers.KINDS[entry["kind"]](entry)
            (self.contacts if entry["kind"] == "contact" else self.sensors).append(read)
        self.probes = [p for e in settings["sensors"] for p in probes_of(e)]
        self.states = {}
        self.waiting = []  # read, and not sent yet
        self.client = None
        self.tries = 0
        self.next_try_s = 0
        self.said_dropped = None

    # reading

    def sample(self, at_s):
        """Reads everything; what failed is left out."""
        for read in self.sensors + self.contacts:
            self.board.feed()
            for probe, value in read():
                self.keep(at_s, probe, value)

    def keep(self, at_s, probe, value):
        _, low, high = quantity(probe)
        if value is not None and low <= value <= high:
            self.waiting.append((int(at_s), self.probes.index(probe), value))

    def watch_contacts(self):
        """A change is kept with its own time, whatever the cadence is."""
        at_s = now_s()
        for read in self.contacts:
            for probe, state in read():
                if at_s is not None and self.states.get(probe, state) != state:
                    self.keep(at_s, probe, state)
                self.states[probe] = state

    # sending

    def topic(self, kind):
        return "strikewell/1/%s/%s" % (self.settings["device"], kind)

    def status(self, state):
        more = {"dropped": self.ring.dropped, "firmware": FIRMWARE}
        signal = self.board.signal_dbm()
        if state == "online" and signal is not None:
            more["signalDbm"] = signal
        more["state"] = state
        return json.dumps(more).encode()

    def pack(self, readings):
        first_s = readings[0][0]
        records = []
        for at_s, number, value in readings:
            probe = self.probes[number]
            unit = quantity(probe)[0]
            record = {"n": probe, "ut": self.settings["every_s"]}
            if unit is None:
                record["vb"] = bool(value)
            else:
                record["u"], record["v"] = unit, round(value, 2)
            if at_s != first_s:
                record["t"] = at_s - first_s
            records.append(record)
        records[0]["bn"] = self.settings["device"] + "/"
        records[0]["bt"] = first_s
        return json.dumps(records).encode()

    def connect(self):
        """Joins network and broker; after a failure it waits 1 s, then twice as long each time, up to a minute."""
        if self.client is not None:
            return True
        if time.time() < self.next_try_s:
            return False
        s = self.settings
        try:
            self.board.join(s["wifi"])
            if now_s() is None:
                self.board.set_clock()
            authority = self.board.read_file(s["authority"]) if s.get("tls") else None
            stream = mqtt.open_stream(s["host"], s["port"], authority)
            # each turn sends something, so nothing is sent for its own sake
            self.client = mqtt.Client(stream, keep_alive_s=max(60, s["every_s"] + 30))
            self.client.connect(s["device"], s.get("secret"), self.topic("status"), self.status("offline"))
            self.say_status()
            self.tries = 0
            return True
        except Exception as cause:
            print("not connected:", cause)
            self.lose()
            wait_s = min(MOST_WAIT_S, 1 << min(self.tries, 6))
            self.tries += 1
            # not all nodes come back at once
            self.next_try_s = time.time() + wait_s * (0.5 + random.random() / 2)
            return False

    def say_status(self):
        self.client.publish(self.topic("status"), self.status("online"), retain=True)
        self.said_dropped = self.ring.dropped

    def lose(self):
        if self.client is not None:
            self.client.close(politely=False)
        self.client = None

    def send(self):
        """What is on flash first, oldest first, one pack at a time; what is not acknowledged is kept."""
        try:
            if not self.connect():
                raise OSError("away")
            number, readings = self.ring.oldest()
            while number is not None:
                for start in range(0, len(readings), PACK):
                    self.board.feed()
                    self.client.publish(self.topic("readings"), self.pack(readings[start : start + PACK]))
                self.ring.done(number)
                number, readings = self.ring.oldest()
            while self.waiting:
                self.board.feed()
                self.client.publish(self.topic("readings"), self.pack(self.waiting[:PACK]))
                del self.waiting[:PACK]
            if self.ring.dropped != self.said_dropped:
                self.say_status()
        except OSError:
            self.lose()
            self.spill()

    def spill(self):
        """Onto flash in one write; a start without power loses nothing that was read before."""
        for start in range(0, len(self.waiting), self.ring.records):
            self.ring.add(self.waiting[start : start + self.ring.records])
        self.waiting = []

    # going on

    def turn(self):
        at_s = now_s()
        if at_s is None:
            self.connect()  # readings without a time are not kept
            at_s = now_s()
        if at_s is not None:
            self.sample(at_s)
            self.send()

    def run(self):
        every_s = self.settings["every_s"]
        if self.settings.get("sleep"):
            self.turn()
            self.spill()
            if self.client is not None:
                # politely, or each sleep would look like a failure
                self.client.close()
            self.board.deep_sleep(every_s)
            return
        while True:
            begun_s = time.time()
            self.turn()
            while time.time() - begun_s < every_s:
                self.board.feed()
                self.watch_contacts()
                time.sleep_ms(WATCH_MS)
                if self.client is not None and self.waiting:
                    self.send()  # a contact has changed


def probes_of(entry):
    return [entry[key] for key in ("temperature", "humidity", "illuminance", "state") if key in entry]
