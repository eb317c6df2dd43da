"""How English and German write figures and words."""
