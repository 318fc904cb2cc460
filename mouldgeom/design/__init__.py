"""From a specification to every dimension: steel that is bought, outlet, supports, bolting, dimensions."""
