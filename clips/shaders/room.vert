#version 330
// One triangle over the whole picture, behind everything.
in vec2 corner;
out vec2 screen;

void main() {
    screen = corner;
    gl_Position = vec4(corner, 0.9999, 1.0);
}
