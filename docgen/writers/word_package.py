"""The package around a Word text: a bare start from a style file, properties, the description carried inside, fixed bytes."""

import io
import zipfile
from datetime import UTC, date, datetime, time

import docx
from docx.document import Document as WordFile
from docx.opc.constants import CONTENT_TYPE, RELATIONSHIP_TYPE
from docx.opc.packuri import PackURI
from docx.opc.part import Part, XmlPart
from docx.oxml.ns import qn
from docx.oxml.parser import parse_xml
from docx.oxml.xmlchemy import BaseOxmlElement as Element

from docgen.nodes import Document, Source
from docgen.writers import UnfitStyle
from docgen.writers.carrying import DESCRIPTION, about
from docgen.writers.visible import digest_of, lines_of_word
from docgen.writers.word_xml import w

NO_DAY = date(2000, 1, 1)
"""Stands in the properties of a document without a day, so that the same input gives the same bytes."""
_KEPT = (
    RELATIONSHIP_TYPE.OFFICE_DOCUMENT,
    RELATIONSHIP_TYPE.STYLES,
    RELATIONSHIP_TYPE.NUMBERING,
    RELATIONSHIP_TYPE.THEME,
    RELATIONSHIP_TYPE.FONT_TABLE,
)
_SETTINGS = (
    '<w:settings xmlns:w="http://schemas.openxmlformats.org/wordprocessingml/2006/main"><w:zoom w:percent="100"/>'
    '<w:defaultTabStop w:val="567"/><w:compat><w:compatSetting w:name="compatibilityMode"'
    ' w:uri="http://schemas.microsoft.com/office/word" w:val="15"/></w:compat><w:themeFontLang w:val="en-GB"/></w:settings>'
)
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006"
_LONGEST = 255
"""Characters that a document property may have."""
_LARGEST = 8 * 1024 * 1024


def opened(style: bytes) -> WordFile:
    """An empty document in the styles of the style file, in British English and with nothing else of that file.

    Raises UnfitStyle when the bytes are no Word file.
    """
    try:
        _check_size(style)
        word = docx.Document(io.BytesIO(style))
        for holder in (word.part, word.part.package):
            for key in [key for key, relation in holder.rels.items() if relation.reltype not in _KEPT]:
                del holder.rels[key]
        for part in word.part.package.iter_parts():
            for key in [key for key, relation in part.rels.items() if relation.is_external]:
                del part.rels[key]
        word.element.body[:] = ()
        for language in word.styles.element.xpath("//w:lang"):
            language.set(qn("w:val"), "en-GB")
    except Exception as error:  # a stranger's file may fail in any way
        raise UnfitStyle("the style file is not a Word document (.docx)") from error
    add_part(word, "settings", "", parse_xml(_SETTINGS))
    if RELATIONSHIP_TYPE.NUMBERING not in {relation.reltype for relation in word.part.rels.values()}:
        add_part(word, "numbering", "", w("numbering"))
    return word


def _check_size(style: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(style)) as archive:
        if sum(entry.file_size for entry in archive.infolist()) > _LARGEST:
            raise ValueError(f"unpacks to more than {_LARGEST} bytes")


def add_part(word: WordFile, kind: str, number: str, root: Element) -> str:
    """Add a part of the text, such as a header, and return the key of its relationship."""
    name = PackURI(f"/word/{kind}{number}.xml")
    content_type = f"application/vnd.openxmlformats-officedocument.wordprocessingml.{kind}+xml"
    return word.part.relate_to(XmlPart(name, content_type, root, word.part.package), f"{_OFFICE}/relationships/{kind}")


def add_properties(word: WordFile, document: Document) -> None:
    """Title, author, dates and so on, and as custom properties what Word has no place for."""
    issued = datetime.combine(document.issued or NO_DAY, time(), UTC)
    core = word.core_properties
    core.title, core.subject, core.version = document.title[:_LONGEST], document.subject[:_LONGEST], document.revision[:_LONGEST]
    core.author = core.last_modified_by = document.author[:_LONGEST]
    core.language, core.revision = "en-GB", 1
    core.created = core.modified = issued
    custom = {
        "Revision": document.revision,
        "Generator": document.generator,
        "Description": document.source.name,
        "Description SHA-256": document.source.digest,
    }
    root = parse_xml(f'<Properties xmlns="{_OFFICE}/custom-properties" xmlns:vt="{_OFFICE}/docPropsVTypes"/>')
    for number, (name, value) in enumerate(custom.items(), 2):
        entry = root.makeelement(f"{{{_OFFICE}/custom-properties}}property")
        entry.attrib.update({"fmtid": "{D5CDD505-2E9C-101B-9397-08002B2CF9AE}", "pid": str(number), "name": name})
        entry.append(entry.makeelement(f"{{{_OFFICE}/docPropsVTypes}}lpwstr"))
        entry[0].text = value
        root.append(entry)
    part = XmlPart(PackURI("/docProps/custom.xml"), CONTENT_TYPE.OFC_CUSTOM_PROPERTIES, root, word.part.package)
    word.part.package.relate_to(part, RELATIONSHIP_TYPE.CUSTOM_PROPERTIES)


def add_source(word: WordFile, source: Source) -> None:
    """Put the description into the package as custom XML, which Word and LibreOffice keep when they save the file.

    The text of the document must be complete: its digest goes with the description.
    """
    root = parse_xml(f'<description xmlns="{DESCRIPTION}"/>')
    root.set("about", about(source, digest_of(lines_of_word(word.element.body))))
    root.text = source.text
    item = XmlPart(PackURI("/customXml/item1.xml"), "application/xml", root, word.part.package)
    store = (
        f'<ds:datastoreItem xmlns:ds="{_OFFICE}/customXml" ds:itemID="{{6D1B7B70-4E0F-4B53-9C0B-3C1F0E5A7D21}}">'
        f'<ds:schemaRefs><ds:schemaRef ds:uri="{DESCRIPTION}"/></ds:schemaRefs></ds:datastoreItem>'
    )
    properties = Part(PackURI("/customXml/itemProps1.xml"), CONTENT_TYPE.OFC_CUSTOM_XML_PROPERTIES, store.encode(), word.part.package)
    item.relate_to(properties, RELATIONSHIP_TYPE.CUSTOM_XML_PROPS)
    word.part.relate_to(item, RELATIONSHIP_TYPE.CUSTOM_XML)


def packed(word: WordFile) -> bytes:
    """The file as bytes that depend on nothing but its content."""
    saved, fixed = io.BytesIO(), io.BytesIO()
    word.save(saved)
    with zipfile.ZipFile(saved) as archive, zipfile.ZipFile(fixed, "w", zipfile.ZIP_DEFLATED) as out:
        for name in sorted(archive.namelist()):
            entry = zipfile.ZipInfo(name)
            entry.compress_type, entry.create_system = zipfile.ZIP_DEFLATED, 3
            out.writestr(entry, archive.read(name))
    return fixed.getvalue()
