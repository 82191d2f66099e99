"""Asks the county answer from another language: once with stubs made from the .proto files, once
by reflection alone. Prints one JSON object with both results.

usage: ask_county.py ADDRESS COUNTY_CERT CLIENT_CERT CLIENT_KEY PROTO_FOLDER WORK_FOLDER AS_OF_MS

AS_OF_MS is the moment to judge, milliseconds since 1970.
"""

import importlib
import json
import pathlib
import sys

import grpc
from google.protobuf import json_format
from google.protobuf.descriptor_pool import DescriptorPool
from google.protobuf.message_factory import GetMessageClass
from grpc_reflection.v1alpha.proto_reflection_descriptor_database import (
    ProtoReflectionDescriptorDatabase,
)
from grpc_tools import protoc

DEADLINE_S = 20


def with_stubs(channel, proto_folder, work_folder, as_of_ms):
    """The answer through stubs generated from the files."""
    files = [str(path.relative_to(proto_folder)) for path in proto_folder.rglob("*.proto")]
    arguments = ["protoc", f"-I{proto_folder}", f"--python_out={work_folder}"]
    arguments += [f"--grpc_python_out={work_folder}", *files]
    if protoc.main(arguments) != 0:
        raise SystemExit("the .proto files do not compile")
    sys.path.insert(0, str(work_folder))
    county = importlib.import_module("sponson.service.v1.county_pb2")
    stubs = importlib.import_module("sponson.service.v1.county_pb2_grpc")
    question = importlib.import_module("sponson.answer.v1.answer_pb2").Question(
        as_of_unix_ms=as_of_ms
    )
    request = county.AnswerRequest(question=question)
    reply = stubs.CountyStub(channel).Answer(request, timeout=DEADLINE_S)
    return json_format.MessageToDict(reply.answer, preserving_proto_field_name=True)


def by_reflection(channel, as_of_ms):
    """The answer with nothing but the running service's own description."""
    pool = DescriptorPool(ProtoReflectionDescriptorDatabase(channel))
    method = pool.FindServiceByName("sponson.service.v1.County").FindMethodByName("Answer")
    request = GetMessageClass(method.input_type)()
    request.question.as_of_unix_ms = as_of_ms
    call = channel.unary_unary(
        "/sponson.service.v1.County/Answer",
        request_serializer=lambda message: message.SerializeToString(),
        response_deserializer=GetMessageClass(method.output_type).FromString,
    )
    reply = call(request, timeout=DEADLINE_S)
    return json_format.MessageToDict(reply.answer, preserving_proto_field_name=True)


def main():
    address, county_cert, client_cert, client_key, proto_folder, work_folder, as_of = sys.argv[1:]
    credentials = grpc.ssl_channel_credentials(
        root_certificates=pathlib.Path(county_cert).read_bytes(),
        private_key=pathlib.Path(client_key).read_bytes(),
        certificate_chain=pathlib.Path(client_cert).read_bytes(),
    )
    options = [("grpc.ssl_target_name_override", "sponson")]
    with grpc.secure_channel(address, credentials, options) as channel:
        print(
            json.dumps(
                {
                    "stubs": with_stubs(
                        channel, pathlib.Path(proto_folder), pathlib.Path(work_folder), int(as_of)
                    ),
                    "reflection": by_reflection(channel, int(as_of)),
                }
            )
        )


if __name__ == "__main__":
    main()
