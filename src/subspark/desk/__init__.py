"""The desk: the web application where the work is done.

Pages and forms over :mod:`subspark.store`; nothing about safety is computed here.
``subspark.desk.server.serve`` starts it.
"""
