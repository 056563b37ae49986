"""The signature within a dossier: PAdES, baseline B-B (ETSI EN 319 142-1), by pyHanko.

The file as it was typeset stays in it to the byte; the signature is added behind (ISO 32000-1,
7.5.6), without anything to see on a page, so that it remains PDF/A and PDF/UA.
"""

from __future__ import annotations

import io
from datetime import datetime
from typing import Any

from archivist.errors import PluginError
from archivist.signing import DocumentKey

FIELD = "signature"
READ_ALOUD = "Signature of the owner"


def signed(pdf: bytes, document: DocumentKey, made: str) -> bytes:
    """`pdf` with a signature over all of it, said to be of the moment `made` (RFC 3339).

    Raises:
        PluginError: where pyHanko is not installed.
    """
    try:
        from asn1crypto import keys, x509
        from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
        from pyhanko.sign import fields, signers
        from pyhanko_certvalidator.registry import SimpleCertificateStore
    except ImportError as problem:
        raise PluginError(
            "The dossier is to be signed, and pyHanko, which does that, is not installed.",
            "Install it with 'pip install \"archivist[pdf-signatures]\"', or release without "
            "--sign.",
        ) from problem
    from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

    class Untouched(IncrementalPdfFileWriter):
        """Leaves title, dates, version and conformance of the document as they are.

        PDF/A-3 is a use of PDF 1.7 (the title of ISO 19005-3 says so); the library would make it
        PDF 2.0 for the sake of a key on an elliptic curve.
        """

        def _update_meta(self) -> None:
            return

        def ensure_output_version(self, version: object) -> None:
            return

        def register_extension(self, ext: object) -> None:
            return

    class AtThatMoment(signers.PdfSigner):
        """Signs at the moment of the release, and asks no clock."""

        def init_signing_session(self, *given: Any, **more: Any) -> Any:
            session = super().init_signing_session(*given, **more)
            session.system_time = datetime.fromisoformat(made)
            return session

    private = document.key.private_bytes(Encoding.DER, PrivateFormat.PKCS8, NoEncryption())
    signer = signers.SimpleSigner(
        signing_cert=x509.Certificate.load(document.certificate.public_bytes(Encoding.DER)),
        signing_key=keys.PrivateKeyInfo.load(private),
        cert_registry=SimpleCertificateStore(),  # type: ignore[no-untyped-call]
    )
    # PDF/A wants every annotation to print, PDF/UA every one on a page to be tagged: this one
    # prints, and lies beside the page.
    unseen = fields.InvisSigSettings(
        set_print_flag=True, set_hidden_flag=False, box_out_of_bounds=True
    )
    settings = signers.PdfSignatureMetadata(
        field_name=FIELD, md_algorithm="sha256", subfilter=fields.SigSeedSubFilter.PADES
    )
    writer = Untouched(io.BytesIO(pdf))
    field = fields.SigFieldSpec(FIELD, invis_sig_settings=unseen, readable_field_name=READ_ALOUD)
    fields.append_signature_field(writer, field)
    _tag(writer)
    target = io.BytesIO()
    AtThatMoment(settings, signer=signer).sign_pdf(writer, output=target)
    return target.getvalue()


def _tag(writer: Any) -> None:
    """Puts the field of the signature into the structure of the document, at its end.

    A widget stands in an element Form (ISO 14289-1, 7.18.4), which names it and is named by it
    (ISO 32000-1, 14.7.4.3 and 14.7.4.4).
    """
    from pyhanko.pdf_utils import generic as pdf_objects

    generic: Any = pdf_objects  # its constructors have no types
    name, number = generic.pdf_name, generic.NumberObject
    widget = writer.root["/AcroForm"]["/Fields"].raw_get(0)
    tree = writer.root["/StructTreeRoot"]
    body = (
        tree["/K"].raw_get(0) if isinstance(tree["/K"], generic.ArrayObject) else tree.raw_get("/K")
    )
    content = {
        name("/Type"): name("/OBJR"),
        name("/Obj"): widget,
        name("/Pg"): widget.get_object().raw_get("/P"),
    }
    form = {
        name("/Type"): name("/StructElem"),
        name("/S"): name("/Form"),
        name("/P"): body,
        name("/Alt"): generic.pdf_string(READ_ALOUD),
        name("/K"): generic.DictionaryObject(content),
    }
    element = writer.add_object(generic.DictionaryObject(form))
    document = body.get_object()
    kids = document["/K"]
    if not isinstance(kids, generic.ArrayObject):
        kids = document[name("/K")] = generic.ArrayObject([document.raw_get("/K")])
    kids.append(element)
    place = int(tree["/ParentTreeNextKey"])
    tree["/ParentTree"]["/Nums"].extend((number(place), element))
    tree[name("/ParentTreeNextKey")] = number(place + 1)
    widget.get_object()[name("/StructParent")] = number(place)
    for changed in (kids, document, tree["/ParentTree"]["/Nums"], tree["/ParentTree"], tree):
        writer.update_container(changed)
    writer.update_container(widget.get_object())
