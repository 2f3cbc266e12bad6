"""The REST API. Rule: serializers check shape, commands decide, errors leave through ``api.errors``."""
