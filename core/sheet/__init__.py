"""The inspection sheet: what it says, and how it is drawn.

reportlab reads settings from the environment and from the home folder when it is first imported,
and some of them change how a page comes out. They are put back to the library's own here, before
any module of the sheet takes its share of them: a sheet may not depend on whose machine draws it.
"""

from reportlab import rl_config, rl_settings

# The other settings are folders to be searched for typefaces, and the page: a sheet names its own.
for _name in rl_settings.__all__:
    _value = getattr(rl_settings, _name)
    if isinstance(_value, int | float | str | None) and _name not in (
        "defaultPageSize",
        "unShapedFontGlob",
    ):
        setattr(rl_config, _name, _value)

# Pictures are stored as the bytes they are: letters for them would only make the file larger.
rl_config.useA85 = 0
