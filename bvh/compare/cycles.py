"""Times a general-purpose path tracer (Cycles, from Debian's blender) on the room that TestWriteRoom wrote, as an anchor for `make speed-frame`.

    BVH_COMPARE=FOLDER go test ./bvh -run '^TestWriteRoom$'
    blender -b -noaudio --python bvh/compare/cycles.py -- FOLDER SAMPLES...

Four lamps of 1 m x 1 m under the ceiling, all in one picture of 640 x 427, grey 0.5, eight diffuse bounces, two threads, no denoiser.
Each number of samples is rendered twice with different seeds: half the mean squared difference is the variance of one picture, so no
reference is needed. Prints processor seconds (halved: two idle cores) and relative RMSE as docs/speed.md defines it.
"""
import os
import resource
import sys

import bpy
import numpy as np

folder, *samples = sys.argv[sys.argv.index("--") + 1:]
raw = np.fromfile(os.path.join(folder, "mesh.bin"), dtype=np.uint32)
nv, nf = int(raw[0]), int(raw[1])
verts = raw[2:2 + 3 * nv].view(np.float32).reshape(-1, 3)
faces = raw[2 + 3 * nv:2 + 3 * nv + 3 * nf].reshape(-1, 3)

bpy.ops.wm.read_factory_settings(use_empty=True)
scene = bpy.context.scene
mesh = bpy.data.meshes.new("room")
mesh.from_pydata(verts.tolist(), [], faces.tolist())
grey = bpy.data.materials.new("grey")
grey.use_nodes = True
grey.node_tree.nodes.clear()
out = grey.node_tree.nodes.new("ShaderNodeOutputMaterial")
lambert = grey.node_tree.nodes.new("ShaderNodeBsdfDiffuse")
lambert.inputs["Color"].default_value = (0.5, 0.5, 0.5, 1)
grey.node_tree.links.new(lambert.outputs[0], out.inputs[0])
mesh.materials.append(grey)
scene.collection.objects.link(bpy.data.objects.new("room", mesh))
for x, y in ((1.5, 1), (4.5, 1), (1.5, 3), (4.5, 3)):
    lamp = bpy.data.lights.new("lamp", "AREA")
    lamp.size, lamp.energy = 1, 60
    o = bpy.data.objects.new("lamp", lamp)
    o.location = (x, y, 2.6)
    scene.collection.objects.link(o)
cam = bpy.data.cameras.new("camera")
cam.sensor_width, cam.lens, cam.clip_start = 36, 36 / 1.4, 0.01
o = bpy.data.objects.new("camera", cam)
o.location, o.rotation_euler = (3, 0.2, 1.5), (np.pi / 2, 0, 0)
scene.collection.objects.link(o)
scene.camera = o

scene.render.engine = "CYCLES"
scene.render.resolution_x, scene.render.resolution_y, scene.render.resolution_percentage = 640, 427, 100
scene.render.threads_mode, scene.render.threads = "FIXED", 2
scene.render.image_settings.file_format = "OPEN_EXR"
scene.render.image_settings.color_depth = "32"
scene.render.image_settings.exr_codec = "NONE"
c = scene.cycles
c.device, c.use_denoising, c.use_adaptive_sampling = "CPU", False, False
c.max_bounces, c.diffuse_bounces, c.sample_clamp_indirect, c.sample_clamp_direct = 8, 8, 0, 0


def spent():
    u = resource.getrusage(resource.RUSAGE_SELF)
    return u.ru_utime + u.ru_stime


def picture(n, seed):
    c.samples, c.seed = n, seed
    scene.render.filepath = os.path.join(folder, "cycles.exr")
    before = spent()
    bpy.ops.render.render(write_still=True)
    took = spent() - before
    img = bpy.data.images.load(scene.render.filepath)
    px = np.empty(640 * 427 * 4, dtype=np.float32)
    img.pixels.foreach_get(px)
    bpy.data.images.remove(img)
    return took, px.reshape(-1, 4)[:, :3].astype(float) @ (0.2126, 0.7152, 0.0722)


for n in map(int, samples):
    (t, a), (u, b) = picture(n, 1), picture(n, 2)
    mean = (a + b) / 2
    e = np.sqrt(np.mean((a - b) ** 2 / 2 / (mean ** 2 + (0.01 * mean.mean()) ** 2)))
    print(f"CYCLES {n} samples: {(t + u) / 4:.1f} s, relative RMSE {100 * e:.1f} %, mean {mean.mean():.4f}", flush=True)
