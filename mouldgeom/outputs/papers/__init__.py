"""The papers that people work from: drawings, templates and the machinery that sets them."""
