"""XML in the making: every text is made legal, and how much of it had to change is told."""

from __future__ import annotations

from collections.abc import Mapping

from lxml import etree

from archivist_plugins.dublin_core.exporter import legal

XML_LANG = "{http://www.w3.org/XML/1998/namespace}lang"
XSI = "http://www.w3.org/2001/XMLSchema-instance"


class XmlDocument:
    """A document of one namespace. Texts and attributes may hold anything; XML may not."""

    def __init__(
        self,
        namespace: str,
        root: str,
        namespaces: Mapping[str, str],
        attributes: Mapping[str, str] | None = None,
    ) -> None:
        self._namespace = namespace
        self._replaced = 0
        self.root = etree.Element(
            f"{{{namespace}}}{root}", dict(attributes or {}), nsmap=dict(namespaces)
        )

    def add(
        self,
        parent: etree._Element,
        name: str,
        text: str = "",
        attributes: Mapping[str, str] | None = None,
    ) -> etree._Element:
        """A new element at the end of `parent`; attributes of an empty value are left out."""
        element = etree.SubElement(parent, f"{{{self._namespace}}}{name}")
        for key, value in (attributes or {}).items():
            if value:
                element.set(key, self._legal(value))
        if text:
            element.text = self._legal(text)
        return element

    def _legal(self, text: str) -> str:
        made, replaced = legal(text)
        self._replaced += replaced
        return made

    def finished(self) -> etree._Element:
        """The root, with a remark where characters had to be replaced."""
        if self._replaced:
            self.root.insert(
                0,
                etree.Comment(
                    f" XML does not allow {self._replaced} characters of this text: they stand "
                    "here as the symbols U+2400 to U+241F, or as U+FFFD. The record holds them "
                    "as they were. "
                ),
            )
        return self.root

    def as_bytes(self) -> bytes:
        """The whole document as UTF-8 with its declaration."""
        return etree.tostring(
            self.finished(), encoding="UTF-8", xml_declaration=True, pretty_print=True
        )
