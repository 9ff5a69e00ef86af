"""EXIF and GPano as a 360-degree camera writes them, put into a finished JPEG. The make is invented."""

import struct
from fractions import Fraction

MAKE, MODEL, SOFTWARE = "Larkmere Optical", "Wren 360", "Wren 1.4.2"
APERTURE = Fraction(2, 1)
ASCII, SHORT, LONG, RATIONAL, UNDEFINED, SIGNED_RATIONAL = 2, 3, 4, 5, 7, 10


def _entry(tag, kind, value):
    """One directory entry's tag, type, count and bytes (little-endian)."""
    if kind == ASCII:
        data = value.encode("ascii") + b"\0"
        return tag, kind, len(data), data
    if kind == UNDEFINED:
        return tag, kind, len(value), value
    if kind == SHORT:
        return tag, kind, 1, struct.pack("<H", value)
    if kind == LONG:
        return tag, kind, 1, struct.pack("<I", value)
    value = Fraction(value).limit_denominator(100000)
    return tag, kind, 1, struct.pack("<ii" if kind == SIGNED_RATIONAL else "<II", value.numerator, value.denominator)


def _directory(entries, offset):
    """A TIFF directory that begins at `offset`, with its longer values after it."""
    entries = sorted(entries)
    table, beyond = b"", b""
    after = offset + 2 + 12 * len(entries) + 4
    for tag, kind, count, data in entries:
        if len(data) <= 4:
            field = data.ljust(4, b"\0")
        else:
            field = struct.pack("<I", after + len(beyond))
            beyond += data + b"\0" * (len(data) % 2)
        table += struct.pack("<HHI", tag, kind, count) + field
    return struct.pack("<H", len(entries)) + table + struct.pack("<I", 0) + beyond


def exif(taken, sub_seconds, shutter_s, iso, bias_ev, width, height):
    """The EXIF block. `taken` is `YYYY-MM-DD HH:MM:SS`; the clock stands at UTC+1."""
    stamp = taken.replace("-", ":")
    main = [
        _entry(0x010F, ASCII, MAKE),
        _entry(0x0110, ASCII, MODEL),
        _entry(0x0112, SHORT, 1),
        _entry(0x011A, RATIONAL, 72),
        _entry(0x011B, RATIONAL, 72),
        _entry(0x0128, SHORT, 2),
        _entry(0x0131, ASCII, SOFTWARE),
        _entry(0x0132, ASCII, stamp),
        _entry(0x8769, LONG, 0),
    ]
    start = 8 + len(_directory(main, 8))
    main[-1] = _entry(0x8769, LONG, start)
    photo = [
        _entry(0x829A, RATIONAL, Fraction(shutter_s).limit_denominator(8000)),
        _entry(0x829D, RATIONAL, APERTURE),
        _entry(0x8827, SHORT, iso),
        _entry(0x9000, UNDEFINED, b"0232"),
        _entry(0x9003, ASCII, stamp),
        _entry(0x9004, ASCII, stamp),
        _entry(0x9011, ASCII, "+01:00"),
        _entry(0x9204, SIGNED_RATIONAL, Fraction(bias_ev)),
        _entry(0x9291, ASCII, f"{sub_seconds:03d}"),
        _entry(0x9292, ASCII, f"{sub_seconds:03d}"),
        _entry(0xA001, SHORT, 1),
        _entry(0xA002, LONG, width),
        _entry(0xA003, LONG, height),
    ]
    tiff = b"II*\0" + struct.pack("<I", 8) + _directory(main, 8) + _directory(photo, start)
    return b"Exif\0\0" + tiff


def gpano(width, height, heading_deg=None, pitch_deg=None, roll_deg=None):
    """The XMP packet of a full sphere. A pose is written only where the camera would know it."""
    fields = {
        "ProjectionType": "equirectangular",
        "UsePanoramaViewer": "True",
        "FullPanoWidthPixels": width,
        "FullPanoHeightPixels": height,
        "CroppedAreaImageWidthPixels": width,
        "CroppedAreaImageHeightPixels": height,
        "CroppedAreaLeftPixels": 0,
        "CroppedAreaTopPixels": 0,
    }
    for name, value in (("PoseHeadingDegrees", heading_deg), ("PosePitchDegrees", pitch_deg), ("PoseRollDegrees", roll_deg)):
        if value is not None:
            fields[name] = f"{value:.1f}"
    inside = "\n".join(f'   GPano:{name}="{value}"' for name, value in fields.items())
    packet = (
        '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>\n<x:xmpmeta xmlns:x="adobe:ns:meta/">\n'
        ' <rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">\n'
        '  <rdf:Description rdf:about="" xmlns:GPano="http://ns.google.com/photos/1.0/panorama/"\n'
        f'{inside}/>\n </rdf:RDF>\n</x:xmpmeta>\n<?xpacket end="w"?>'
    )
    return b"http://ns.adobe.com/xap/1.0/\0" + packet.encode("utf-8")


def with_segments(jpeg, segments):
    """A JPEG with APP1 segments put right after its start, in place of the JFIF header."""
    rest = jpeg[2:]
    if rest[:2] == b"\xff\xe0":
        rest = rest[2 + struct.unpack(">H", rest[2:4])[0] :]
    blocks = b"".join(b"\xff\xe1" + struct.pack(">H", len(segment) + 2) + segment for segment in segments)
    return jpeg[:2] + blocks + rest
