# Readings that are not acknowledged yet, on flash, with their times. Records of nine bytes in a few small files: the
# newest is written to, the oldest is sent and removed whole. When all are full the oldest is dropped, and counted.
import os
import struct

RECORD = "<IBf"  # time in s since 1970, number of the probe, value
SIZE = struct.calcsize(RECORD)


class Ring:
    def __init__(self, folder="kept", files=64, records=128):
        self.folder, self.files, self.records = folder, files, records
        self.dropped = 0
        try:
            os.mkdir(folder)
        except OSError:
            pass  # it is there

    def numbers(self):
        return sorted(int(name[:-4]) for name in os.listdir(self.folder) if name.endswith(".bin"))

    def path(self, number):
        return "%s/%06d.bin" % (self.folder, number)

    def length(self, number):
        return os.stat(self.path(number))[6] // SIZE

    def add(self, readings):
        """Keeps readings (time, probe, value), in one write: flash wears by writes."""
        numbers = self.numbers()
        newest = numbers[-1] if numbers else 0
        # what a power cut left unfinished stands at the end of a file, so nothing is written behind it
        is_cut = numbers and os.stat(self.path(newest))[6] % SIZE
        if not numbers or is_cut or self.length(newest) + len(readings) > self.records:
            newest += 1
            while len(numbers) >= self.files:
                oldest = numbers.pop(0)
                self.dropped += self.length(oldest)
                os.remove(self.path(oldest))
        with open(self.path(newest), "ab") as file:
            file.write(b"".join(struct.pack(RECORD, *reading) for reading in readings))

    def oldest(self):
        """The oldest file: its number and its readings; a record that a power cut left unfinished is passed over."""
        numbers = self.numbers()
        if not numbers:
            return None, []
        with open(self.path(numbers[0]), "rb") as file:
            data = file.read()
        whole = len(data) // SIZE
        return numbers[0], [struct.unpack_from(RECORD, data, i * SIZE) for i in range(whole)]

    def done(self, number):
        os.remove(self.path(number))
