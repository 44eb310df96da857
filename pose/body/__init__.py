"""The body in a picture: landmarks, the person who is followed, the outline of the back."""
