// A shoot from four answers: room, camera, sitter, one key. Where things
// stand, why they cannot, and the text of the shoot file.
import { plain } from "../units/stops.ts";

export type V3 = readonly [number, number, number];

/** Lengths in metres, the angle in degrees. */
export interface Answers {
  length: number;
  width: number;
  height: number;
  camX: number;
  camY: number;
  camZ: number;
  lens: number;
  upright: boolean;
  far: number;
  seated: boolean;
  stature: number;
  left: boolean;
  round: number;
  keyFar: number;
  keyHeight: number;
  head: string;
  modifier: string;
}

export const usual = (): Answers => ({
  length: 7.2, width: 3.8, height: 2.75, camX: 5.6, camY: 2.5, camZ: 1.42, lens: 50, upright: true, far: 2.28,
    seated: false, stature: 1.7,
  left: true, round: 45, keyFar: 1.3, keyHeight: 2.05, head: "battery head 500", modifier: "octa 90",
});

/** Height of a seat, metres: chairs are 0.42 to 0.46. From memory. */
const seat = 0.44;

export interface Places { camera: V3; sitter: V3; face: V3; key: V3 }

/**
 * Where everything stands: the camera looks across the room's middle, the
 * sitter is on that line, the key goes round the face.
 */
export function placesOf(a: Answers): Places {
  const tx = a.length * 0.3, ty = a.width * 0.47, d = Math.hypot(tx - a.camX, ty - a.camY) || 1,
    dx = (tx - a.camX) / d, dy = (ty - a.camY) / d;
  const x = a.camX + dx * a.far, y = a.camY + dy * a.far, z = a.seated ? seat + 0.43 * a.stature : 0.93 * a.stature;
  const up = a.keyHeight - z, flat = Math.sqrt(Math.max(0.01, a.keyFar * a.keyFar - up * up)),
    t = (a.round * Math.PI) / 180, side = a.left ? 1 : -1;
  // Camera left is to the left of who looks along the lens.
  const kx = x - dx * Math.cos(t) * flat - dy * side * Math.sin(t) * flat,
    ky = y - dy * Math.cos(t) * flat + dx * side * Math.sin(t) * flat;
  return { camera: [a.camX, a.camY, a.camZ], sitter: [x, y, 0], face: [x, y, z], key: [kx, ky, a.keyHeight] };
}

/** What cannot be as answered, by the number of the answer; nothing: all can. */
export function faultOf(a: Answers): { step: number; text: string } | null {
  const p = placesOf(a), out = (c: V3, air: number): boolean => c[0] < air || c[1] < air || c[0] > a.length - air ||
    c[1] > a.width - air;
  if (!(a.length >= 1 && a.width >= 1 && a.height >= 1.8))
    return { step: 0, text: "A room is at least 1 m long and wide, and 1.8 m high." };
  if (a.length > 100 || a.width > 100 || a.height > 30)
    return { step: 0, text: "That is no room: at most 100 m long and wide, and 30 m high." };
  if (out(p.camera, 0.1)) return { step: 1, text: "The camera stands in a wall or outside the room." };
  if (!(a.camZ > 0.1 && a.camZ < a.height - 0.1))
    return { step: 1, text: "The camera’s height is not between floor and ceiling." };
  if (!(a.lens >= 8 && a.lens <= 800)) return { step: 1, text: "A lens has 8 to 800 mm." };
  if (!(a.stature >= 0.5 && a.stature <= 2.3)) return { step: 2, text: "A stature is between 0.5 and 2.3 m." };
  if (!(a.far >= 0.4) || out(p.sitter, 0.25))
    return { step: 2, text: "There the sitter stands in a wall: come nearer, or move the camera." };
  if (!(a.keyHeight > 0.2 && a.keyHeight < a.height - 0.15))
    return { step: 3, text: "The key’s height is not between floor and ceiling." };
  if (Math.abs(a.keyHeight - p.face[2]) >= a.keyFar)
    return { step: 3,
      text: "The key hangs farther above the face than its distance: lower it, or take it farther away." };
  if (out(p.key, 0.25)) return { step: 3,
      text: "There the key stands in a wall: take it nearer, or round the other side." };
  return null;
}

const quoted = (s: string): string => (/^[\p{L}][\p{L}\p{N} _-]*$/u.test(s) ? s : JSON.stringify(s));

/** The text of shoot.yaml. */
export function textOf(a: Answers, title: string): string {
  const p = placesOf(a), at = (c: V3): string => `[${plain(c[0], 2)}, ${plain(c[1], 2)}]`;
  const pose = a.seated ? `pose: seated, seat: ${seat} m` : "pose: standing",
    on = a.modifier.trim() ? `, modifier: ${quoted(a.modifier.trim())}` : "";
  return `# Lengths in metres: x along the room's length, y across it, z up.
halfstop: 1
shoot:
  title: ${quoted(title || "New shoot")}

room:
  outline: [[0, 0], [${plain(a.length)}, 0], [${plain(a.length)}, ${plain(a.width)}], [0, ${plain(a.width)}]]
  ceiling: ${plain(a.height)} m
  surfaces:
    walls: white emulsion
    floor: grey lino
    ceiling: white emulsion

setups:
  - name: First
    camera:
      at: ${at(p.camera)}
      height: ${plain(a.camZ)} m
      aim: ${a.upright ? (36 / a.lens * a.far < 1.2 ? "sitter.throat" : "sitter.chest") : "sitter.chin"}
      lens: ${plain(a.lens, 1)} mm
      upright: ${a.upright}
      aperture: f/4
      shutter: 1/125 s
      iso: 200
      white balance: 5600 K
    sitter: {at: ${at(p.sitter)}, stature: ${plain(a.stature, 2)} m, ${pose}, faces: camera}
    lights:
      - {role: key, head: ${quoted(a.head.trim() || "battery head 500")}${on}, at: ${at(p.key)}, height: ${plain(
        a.keyHeight, 2)} m, aim: sitter.face, power: 1/16}
    look:
      - {point: face key side, reads: f/4, priority: must}
`;
}
