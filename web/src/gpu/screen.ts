// Where a live picture is drawn: the canvas's own texture, or, where graphics are computed on the processor, by way of
// the page's memory, since software adapters cannot present.

export interface Screen {
  readonly format: GPUTextureFormat;
  /** Draws one frame: hands out the texture to draw into and shows it. */
  draw(into: (view: GPUTextureView) => void): Promise<void>;
}

/** Opens a canvas of a size. */
export function openScreen(
  device: GPUDevice,
  canvas: HTMLCanvasElement,
  w: number,
  h: number,
  soft: boolean,
): Screen {
  canvas.width = w;
  canvas.height = h;
  return soft ? byMemory(device, canvas, w, h) : onCanvas(device, canvas);
}

/** The format of what is drawn. */
export const formatOf = (soft: boolean): GPUTextureFormat =>
  soft ? "rgba8unorm" : navigator.gpu.getPreferredCanvasFormat();

function onCanvas(device: GPUDevice, canvas: HTMLCanvasElement): Screen {
  const context = canvas.getContext("webgpu") as unknown as GPUCanvasContext | null,
    format = formatOf(false);
  if (!context) throw new Error("the canvas has no graphics processor");
  context.configure({ device, format, alphaMode: "opaque" });
  return {
    format,
    draw: async (into) => {
      into(context.getCurrentTexture().createView());
      await device.queue.onSubmittedWorkDone();
    },
  };
}

function byMemory(device: GPUDevice, canvas: HTMLCanvasElement, w: number, h: number): Screen {
  const row = Math.ceil((w * 4) / 256) * 256,
    x = canvas.getContext("2d"); // rows of a copy are of whole 256 bytes
  if (!x) throw new Error("the canvas cannot be drawn on");
  const image = x.createImageData(w, h),
    texture = device.createTexture({ size: [w, h], format: "rgba8unorm", usage: 1 | 16 });
  return {
    format: "rgba8unorm",
    draw: async (into) => {
      into(texture.createView());
      const to = device.createBuffer({ size: row * h, usage: 1 | 8 }),
        e = device.createCommandEncoder();
      e.copyTextureToBuffer({ texture }, { buffer: to, bytesPerRow: row }, [w, h]);
      device.queue.submit([e.finish()]);
      await to.mapAsync(1);
      const from = new Uint8Array(to.getMappedRange());
      for (let y = 0; y < h; y++) image.data.set(from.subarray(y * row, y * row + 4 * w), y * w * 4);
      to.destroy();
      x.putImageData(image, 0, 0);
    },
  };
}
