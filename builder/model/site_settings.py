"""The settings of the site, as ``mkdocs.yml`` has them: only what cannot run code."""

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import Field

from builder.model.record import FOLDER_INSIDE, ICON, Record, Text

Scalar = str | int | float | bool | None
FolderInside = Annotated[str, Field(pattern=FOLDER_INSIDE)]
IconName = Annotated[str, Field(pattern=ICON)]


class SiteToggle(Record):
    """The button that changes the colours of a page."""

    icon: IconName
    name: Text


class SitePalette(Record):
    """One set of colours of the theme package."""

    media: str = ""
    scheme: str = ""
    primary: str = ""
    accent: str = ""
    toggle: SiteToggle | None = None


class SiteTheme(Record):
    """The frame around pages. ``custom_dir``: the folder of a workspace's own templates and files."""

    name: Literal["material"] | None = "material"
    custom_dir: FolderInside | None = None
    font: Literal[False] = False
    language: str = "en"
    direction: Literal["ltr", "rtl"] = "ltr"
    favicon: str = ""
    logo: str = ""
    icon: Mapping[str, IconName] = Field(default_factory=dict)
    features: tuple[Text, ...] = ()
    palette: tuple[SitePalette, ...] | SitePalette | None = None


class SiteExtra(Record):
    """Choices of ours. ``offline``: whether emergency pages stay on the reader's device."""

    generator: bool = False
    offline: bool = True
    from_material: Mapping[str, IconName] = Field(default_factory=dict)


class SiteSettings(Record):
    """The settings of one workspace's site, without its plugins and extensions."""

    site_name: Text = "Handover guide"
    site_description: Text | None = None
    site_author: Text | None = None
    docs_dir: FolderInside = "content"
    site_dir: str = "site"
    use_directory_urls: Literal[True] = True
    theme: SiteTheme = Field(default_factory=SiteTheme)
    extra: SiteExtra = Field(default_factory=SiteExtra)
    validation: Mapping[str, Scalar | Mapping[str, Scalar]] = Field(default_factory=dict)
    plugins: tuple[str | Mapping[str, Mapping[str, Any] | None], ...] = ()
    markdown_extensions: tuple[str | Mapping[str, Mapping[str, Scalar] | None], ...] = ()
