#version 330
// Figure and its shadow. The shadow is the figure pressed onto the floor along the light.
uniform mat4 view_projection;
uniform vec3 light;
uniform bool shadow;
in vec3 position;
in vec3 normal;
in vec3 rest;      // place on the resting body: decides what is sleeve, collar, brow ...
out vec3 at;
out vec3 facing;
out vec3 on_body;

void main() {
    at = position;
    if (shadow) {
        at -= light * (position.z / light.z);
        at.z = 0.003;
    }
    facing = normal;
    on_body = rest;
    gl_Position = view_projection * vec4(at, 1.0);
}
