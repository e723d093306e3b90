import { of } from "../api";

/** The clip's pictures, fetched ahead of the cursor and kept for a while. */

const kKept = 90;
const kAtOnce = 4;

export class Frames {
  private kept = new Map<number, HTMLImageElement>(); // in order of last use
  private going = new Set<number>();
  private wanted: number[] = [];
  private ended = false;

  constructor(
    private readonly id: string,
    private readonly width: number,
    private readonly numbers: number[],
    private readonly onArrival: (index: number) => void,
  ) {}

  /** The picture at this place in the clip, or the nearest earlier one that is here. */
  at(index: number): HTMLImageElement | null {
    const image = this.kept.get(index);
    if (!image) return null;
    this.kept.delete(index);
    this.kept.set(index, image);
    return image;
  }

  has(index: number): boolean {
    return this.kept.has(index);
  }

  /** Asks for this picture first, then for its neighbours in the direction of travel. */
  want(index: number, direction: number, ahead: number) {
    const list = [index];
    for (let i = 1; i <= ahead; i++) list.push(index + direction * i);
    for (let i = 1; i <= 3; i++) list.push(index - direction * i);
    this.wanted = list.filter((i) => i >= 0 && i < this.numbers.length && !this.kept.has(i) && !this.going.has(i));
    this.fetchNext();
  }

  close() {
    this.ended = true;
    this.wanted = [];
    this.kept.clear();
  }

  private fetchNext() {
    while (!this.ended && this.going.size < kAtOnce && this.wanted.length) {
      const index = this.wanted.shift()!;
      this.going.add(index);
      const image = new Image();
      image.src = `${of(this.id, `frames/${this.numbers[index]}.jpg`)}?width=${this.width}`;
      image
        .decode()
        .then(() => this.keep(index, image))
        .catch(() => {})
        .finally(() => {
          this.going.delete(index);
          this.fetchNext();
        });
    }
  }

  private keep(index: number, image: HTMLImageElement) {
    if (this.ended) return;
    this.kept.set(index, image);
    for (const oldest of this.kept.keys()) {
      if (this.kept.size <= kKept) break;
      this.kept.delete(oldest);
    }
    this.onArrival(index);
  }
}
