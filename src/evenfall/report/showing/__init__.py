"""What is drawn on a film to show, and heard in it: pure drawing on pictures, no file and no clock."""
